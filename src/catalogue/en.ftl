### What denwright says, in English. An entry is named by its code; figures and days are written by the program.

## Lists and figures

list-and = { $begin } and { $end }
list-or = { $begin } or { $end }
# For the catalogue's own test.
test-values = { $share }, { $weight }, { $day }: { $parts }

## Alarms

about = { $label }: { $what }
whelping-nothing-yet = Nothing calls for the vet yet: write down the first signs and her temperature.
whelping-nothing-now = Nothing calls for the vet now.
whelping-write-how-it-ended = Write down how it ended; if it is still so, call the vet now. { $what }

## Pregnancy

pregnancy-temperature-of = temperature of { $at }

## Bodies

stated-as = { $what } (as { $field })

## Breeding: lists

listing-comma = { $begin }, { $end }
listing-semicolon = { $begin }; { $end }
chance-percent = { $share } %
chance-percent-range = { $low } to { $high } %

## Breeding: faults that recur

fault-out-of-range-from-to = must be from { $from } to { $to }
fault-twice = stands twice
fault-twice-dog-id = { $id } stands twice
fault-not-found-among-dogs = { $id } is not among the dogs given
fault-own-ancestor-parents = a dog is among its own ancestors; correct its parents
fault-empty-chances = has no day with a chance

## Breeding: limits

limit-month = { $year }-{ $month }
limit-count-range = { $from } to { $to }
limit-least-age-unknown = birth date unknown; at least { $months } months
limit-least-age = born { $born }, mated { $mated_on }; at least { $months } months (from { $from })
limit-most-age-unknown = birth date unknown; at most { $months } months
limit-most-age = born { $born }, on { $on }; limit { $months } months ({ $reached_on })
limit-litters = { $had } litters before this one; at most { $most } with this one
limit-litters-gaps = { $had } litters before this one on record, which may lack some; at most { $most } with this one
limit-litters-window = { $had } litters in the { $months } months to { $to }; at most { $most } with this one
limit-litters-window-gaps = { $had } litters in the { $months } months to { $to } on record, which may lack some; at most { $most } with this one
limit-litters-year = { $had } other litters in { $year }; at most { $most } with this one
limit-litters-year-gaps = { $had } other litters in { $year } on record, which may lack some; at most { $most } with this one
limit-interval-none = no litter on record; { $months } months between litters
limit-interval = last whelped { $last }, next about { $next }; { $months } months apart (from { $from })
limit-rest-too-few = { $litters } litters on record; two are needed
limit-rest = whelped { $before } and { $last }, next about { $next }; after two litters within { $window_months } months a rest of { $months } months (to { $rested_on })
limit-caesareans = { $recorded } caesarean litters recorded, { $not_recorded } not recorded; at most { $most }
limit-other-sires-unknown = matings of this heat not recorded
limit-other-sires = { $others } other males in this heat; at most { $most } in all
limit-kin-unknown = kinship to the male not stated
limit-kin-close = the male is her parent, offspring or full sib
limit-kin-none = neither parent, offspring nor full sib on record

## Breeding: law

law-not-held-to = Your law has limits of its own: look at the rule set { $rule_set } too.
law-not-held-to-why = { $title }, for { $scope }.
law-unconfirmed = Ask what your law says: a limit listed for it is not confirmed.
law-limit-months = { $title }: { $months } months.
law-limit-litters = { $title }: { $litters } litters.
law-limit-sires = { $title }: { $sires } sires.
law-limit-matings = { $title }: { $matings } matings.
law-not-found = Ask what the law says about ages, litters and caesareans.
law-not-found-of = Ask what the law of { $of } says about ages, litters and caesareans.
law-not-found-looked = Looked for on { $looked_on }, no figure found: { $looked_at }.
law-not-found-no-jurisdiction = The kennel names no jurisdiction; set it to be told of its law.
law-not-found-not-listed = No limits are listed for the jurisdiction { $jurisdiction }.
law-row-read = { $about } on { $on }
law-dated = Ask again what your law says: rules listed here were last read more than a year ago.
law-old-text = What was read of the law ({ $about }) is of { $year }: check with your state or authority whether it still holds.
law-old-text-why = The newest text that was found is of { $year }.
law-dated-why = Last read: { $rows }.
fault-unknown-value-country = is no country of ISO 3166-1; write two letters such as DE or GB

## Breeding: microchips

chip-old = Older than ISO 11784: many readers do not find it, and a border may ask for an ISO chip beside it.
chip-unknown-country = { $code } is not in the table of countries.
fault-malformed-chip-number = has { $character } in it; a chip number is 15 digits (ISO 11784)
fault-too-short-chip = has { $digits } digits; a chip number has 15 (ISO 11784), one of the old kind 9 or 10
fault-too-long-chip = has { $digits } digits; a chip number has 15 (ISO 11784), one of the old kind 9 or 10
fault-unknown-value-chip-no-code = begins with 000, which no country or maker has; read the chip again
fault-wrong-kind-chip-test-code = begins with 999, which is for tests only; read the chip again
fault-out-of-range-chip = ends in { $number }; the last twelve digits are at most { $most }; read the chip again
fault-twice-chip-line = { $number } stands on an earlier line too; each dog has its own chip

## Breeding: pedigree and breeds

pedigree-twice = an animal is there twice
pedigree-same-parents = sire and dam are the same animal
pedigree-loop = animals are their own ancestors
pedigree-not-there = no such animal in the pedigree
pedigree-too-many = too many animals
inbreeding-limited-rule = An ancestor whose shortest distance is the limit counts as a founder.
breeds-method = expected: mean of the parents' shares; possible: all or none of every mixed gamete; likely: expected plus and minus 1.96 standard deviations of the realised share over the autosomes (crossing over without interference, Haldane), cut to the possible
breeds-autosomes = autosomes only; founders of a stated breed are pure
breeds-unknown-ancestors = likely ranges count ancestors of unknown breed as of none named
breeds-bounds-only = no likely range where a founder is itself mixed or the pedigree too large: bounds only
fault-wrong-sex-is-dam = is the dam; give a male
fault-out-of-range-denominator = a denominator must not be 0
fault-out-of-range-breeds-sum = the parts of the breeds must sum to 1
fault-twice-breed = name each breed once

## Breeding: genetic markers

marker-class-dies = dies before birth
marker-class-shows = shows { $allele }
marker-class-clear = clear
marker-class-carrier = carrier
marker-class-affected = affected
marker-class-hemizygous = affected (hemizygous: a male has one X)
marker-class-at-risk-one = at risk, one copy
marker-class-at-risk-two = at risk, two copies
marker-class-shows-it = shows it
marker-class-one-copy = one copy
marker-class-two-copies = two copies
marker-meaning = { $class }. { $one_copy }
marker-one-copy-ask = One copy shows in part: ask a veterinarian what it means.
marker-founders-by-frequency = untested founders have the genotypes of random mating at the allele frequencies given ({ $source })
marker-too-many-untested = too many untested relatives to combine: a parent may have any genotype that results do not exclude
marker-founders-any = { $founders } untested founders may have any genotype: chances are the range over all cases
marker-with-penetrance = penetrance: { $penetrance }
marker-risk-copies-one = one copy
marker-risk-copies-two = two copies
marker-risk-copies-any = one copy or two
marker-risk-share = Risk with { $copies }: { $low } to { $high } % of such dogs, of { $outcome }.
marker-risk-relative = Risk with { $copies }: { $low } to { $high } times that of dogs without a copy, of { $outcome }.
marker-risk-unknown = Risk with { $copies }: no figure was found, of { $outcome }.
marker-chance-affected = Affected: daughters { $daughters }, sons { $sons }.
marker-chance-copies = Pups with a copy: daughters { $daughters }, sons { $sons }.
marker-chance-one-copy = One copy: daughters { $daughters }, sons { $sons }.
marker-dam-affected = The dam is affected by { $name }: ask a veterinarian before breeding.
marker-sire-affected = The sire is affected by { $name }: ask a veterinarian before breeding.
marker-dam-affected-why = The dam's genotype counts as affected.
marker-sire-affected-why = The sire's genotype counts as affected.
marker-dam-one-copy = The dam has one copy of { $name }.
marker-sire-one-copy = The sire has one copy of { $name }.
marker-dam-one-copy-why = The dam's genotype holds one copy.
marker-sire-one-copy-why = The sire's genotype holds one copy.
marker-dam-two-copies = The dam has two copies of { $name }.
marker-sire-two-copies = The sire has two copies of { $name }.
marker-dam-two-copies-why = The dam's genotype holds two copies.
marker-sire-two-copies-why = The sire's genotype holds two copies.
marker-pups-affected = Pups can be affected by { $name }: choose another mate.
marker-on-the-x = It lies on the X: sons of a carrier dam are at risk.
marker-not-ruled-out = Affected pups ({ $name }) are not ruled out: test the parents first.
marker-some-carry = No pup can be affected by { $name }; some can carry it: test those kept for breeding.
marker-pups-one-copy = Pups can have a copy of { $name }, and one copy harms already.
marker-pups-one-copy-do = Have every pup tested and tell its owner and vet.
marker-every-pup-has-a-copy = Every pup has a copy of { $name }, whoever the other parent is.
marker-pups-copy-tell = Tell each pup's owner and vet.
marker-one-copy-not-ruled-out = Pups with one copy of { $name }, of which one copy harms already, are not ruled out: test the parents first.
marker-may-be-lethal = Pups with two copies ({ $name }) may die before birth: test both parents.
marker-lethal = Pups with two copies ({ $name }) die before birth: expect a smaller litter, or choose another mate.
marker-lethal-why = Lost before birth: { $chance }.
merle-cryptic-dam = The dam has a cryptic merle (Mc), which does not affect colour or health; it can lengthen in a pup: have the length measured of pups kept for breeding.
merle-cryptic-sire = The sire has a cryptic merle (Mc), which does not affect colour or health; it can lengthen in a pup: have the length measured of pups kept for breeding.
merle-cryptic-why = A short insertion counts as no copy of merle.
double-merle-harm = Of double merles { $one_ear } % were deaf in one ear and { $both_ears } % in both; eye defects occur too.
double-merle-pups = Double merle pups: { $chance }.
double-merle-both = Both parents carry merle: do not make this mating.
double-merle-dam-red = One parent carries merle and the dam is red or yellow (e/e), which hides merle: test the dam first.
double-merle-sire-red = One parent carries merle and the sire is red or yellow (e/e), which hides merle: test the sire first.
double-merle-dam-unseen = One parent carries merle and the dam may carry merle unseen (too little of it to see, or hidden by red and yellow): test the dam first.
double-merle-sire-unseen = One parent carries merle and the sire may carry merle unseen (too little of it to see, or hidden by red and yellow): test the sire first.
double-merle-not-ruled-out = Double merle is not ruled out: test both parents for merle.
fault-in-future-result = is after today ({ $today }); give the day of the result
fault-unknown-value-marker = { $value } is not a known marker; known: { $known }
fault-unknown-value-marker-here = is not a known marker; known: { $known }
fault-differs-omia = { $name } has { $omia }
fault-too-few-alleles = give two alleles, twice the same when both copies are
fault-too-many-alleles = give two alleles, twice the same when both copies are
fault-too-few-alleles-x = { $name } lies on the X: a male has one allele; give one
fault-too-many-alleles-x = { $name } lies on the X: a male has one allele; give one
fault-unknown-value-allele = { $value } is not an allele of { $marker }; known: { $known }, or ? when not known
fault-unknown-value-allele-here = is not an allele of { $marker }; known: { $known }
fault-out-of-range-frequencies-sum = must sum to 1 over all alleles of the marker
fault-wrong-sex-is-female = is a female
fault-wrong-sex-is-male = is a male
fault-wrong-sex-dam = is a male; give a female as the dam
fault-wrong-sex-sire = is a female; give a male as the sire
fault-differs-parents-results = { $marker }: the result cannot come from its parents' results
fault-differs-family-results = the results for { $marker } contradict each other in this family
fault-differs-results = { $marker }: results contradict each other or have unknown alleles

fault-wrong-kind-copies-of-series = a series of alleles has no copies to count
fault-taken-known-marker = the catalogue knows this test as { $marker }: record it as a genotype test, so that it is reckoned with
fault-out-of-range-copies-on-x = a male has one X, and so one copy at most
fault-out-of-range-share-of-runs = runs of homozygosity are a share of the genome: 0 or more
fault-wrong-kind-shortest-run = belongs to runs of homozygosity alone
free-test-inheritance-unknown = No result says how it is inherited: ask the laboratory, and chances can be worked out.
free-test-inheritance-differs = The results do not agree on how it is inherited: ask the laboratory.
free-test-series = It is a series of alleles, whose order this record does not hold.
free-test-copies-unknown = No result says how many copies were found.
free-test-contradicts = The results contradict one another in this family.
genomic-runs-above = The genome shows { $genome }, the pedigree { $pedigree }. That is as expected: a pedigree counts from its founders on, runs in the genome are older.
genomic-runs-below = The genome shows { $genome }, the pedigree { $pedigree }. Sibs differ by chance, and short runs may not have been counted; where the difference is large, have the parents confirmed.
genomic-other-base = The genome shows { $genome }, the pedigree { $pedigree }. They have different bases and are not to be compared figure by figure.

## Breeding: screening

screening-figures = figures from { $least } to { $most } with { $decimals } decimals at most
fault-unknown-value-scheme = { $value } is not a known screening scheme; known: { $known }
fault-unknown-value-screening = { $value } is not a result of { $scheme }; known: { $known }
fault-wrong-kind-sides = { $scheme } has one result for the dog, and none for its sides
fault-missing-screening = give the dog's result, or that of a side
fault-wrong-kind-condition = { $scheme } names no condition
fault-differs-sides = its two sides make { $made }
screening-relatives-note = Who was screened is often chosen, and bad pictures are not always sent in: counts are of those that are on record, not of all.
breeding-values-no-heritability = No heritability is on file: the diseases of the eyes are each inherited in a way of their own. Look at the relatives instead.
breeding-values-too-few = { $dogs } dogs have a result that counts; from { $least } on breeding values are told.
breeding-values-about-scale = Values are in genetic standard deviations; less than 0 is healthier. Results of several schemes are put on one scale by the spread of each.
breeding-values-about-groups = Each scheme has a mean of its own; age, sex, year and examiner are not corrected for.
breeding-values-about-base = 0 is the mean of the founders of this pedigree, and not of the breed.
breeding-values-about-linear = Grades are taken as if they were measured; the error holds for the heritability given, which is itself uncertain.
breeding-values-about-chosen = Results that were not sent in are missing, so breeding values may be too good.
breeding-value-better = { $value }: better than the mean, as far as the results tell (accuracy { $accuracy }).
breeding-value-worse = { $value }: worse than the mean, as far as the results tell (accuracy { $accuracy }). Choose a mate that is better, and keep an eye on the pups.
breeding-value-not-told-apart = { $value }: the results do not tell it apart from the mean (accuracy { $accuracy }).

## Breeding: coat colour

coat-black = black
coat-brown = brown
coat-blue = blue
coat-lilac = lilac
coat-fawn-sable = fawn or sable ({ $dark } pigment)
coat-brindle = { $dark } brindle
coat-wolf-sable = wolf sable ({ $dark } pigment)
coat-brindle-wolf-sable = brindled wolf sable ({ $dark } pigment)
coat-saddle-tan = { $dark } saddle and tan
coat-saddle-brindle = { $dark } saddle with brindle
coat-tan-points = { $dark } and tan
coat-brindle-points = { $dark } with brindle points
coat-grizzle = grizzle ({ $dark } pigment)
coat-recessive-red = yellow to red, { $dark } nose
coat-mask = dark mask
coat-merle = merle
coat-double-merle = double merle
coat-harlequin = harlequin
coat-small-marks = perhaps small white marks
coat-irish-white = irish white
coat-piebald = piebald
coat-extreme-white = mostly white
colours-independent = the loci are inherited independently
colours-untested-loci = loci that nobody is tested for may have any alleles
colours-no-merle = merle is left out: nobody is tested for it
colours-no-white = white markings are left out: nobody is tested for them
colours-white-series = white follows the classical series; in practice it is nearly additive
colours-born-only = pups that die before birth (H/H) are not counted
fault-unknowable-colours = no dog is tested for a colour locus; known: { $known }

## Breeding: traits that are seen

seen-tested = tested { $genotype }
seen-tested-clear = tested clear
seen-described = described as "{ $words }", not tested
seen-may-hide = colour "{ $colour }", which can hide merle
seen-no-colour = colour not on record
seen-not-described = not described so
seen-both = Both parents seem to be { $name }: { $what }.
seen-both-why = Dam { $dam }; sire { $sire }.
seen-hidden-dam = One parent seems to be { $name }, and the dam may carry it unseen: have the dam tested before they are mated.
seen-hidden-sire = One parent seems to be { $name }, and the sire may carry it unseen: have the sire tested before they are mated.
seen-hidden-why = One is { $one }; the other: { $other }.
seen-mismatch-dam = The dam is described as "{ $words }", but its test found no { $name }: check which of the two is right before it is mated with a dog that carries it.
seen-mismatch-sire = The sire is described as "{ $words }", but its test found no { $name }: check which of the two is right before it is mated with a dog that carries it.
seen-mismatch-why = Colour and test on record contradict one another.

## Breeding: mating plans

mating-died = it died on { $on }
mating-dam-not-on-offer = the dam is not on offer: { $reason }
mating-sire-not-on-offer = the sire is not on offer: { $reason }
mating-over-ceiling = inbreeding of at least { $inbreeding } is over the ceiling of { $ceiling }
mating-undecided = not decided: { $detail } ({ $source })
mating-pedigrees-unknown = how complete the pedigrees are is not known; inbreeding may be understated
mating-pedigree-short = the shorter pedigree is complete to { $generations } generations, under { $least }: inbreeding is understated
score-formula = score = sum(weight x points) / sum(weight); points: inbreeding 1 - F/ceiling; mean kinship 1 - kinship/full scale; health 1 - greatest chance of an affected, double merle or lost pup, or of one with a single copy that harms already; ages 1 within the best ages, falling in a straight line outside; cut to 0-1; an unknown part counts the rule for unknown parts
score-inbreeding = inbreeding { $inbreeding }, ceiling { $ceiling }
score-inbreeding-unknown = inbreeding not known, ceiling { $ceiling }
score-kinship = mean kinship to the breeding stock { $kinship }, full scale { $full_scale }
score-kinship-unknown = mean kinship to the breeding stock not known, full scale { $full_scale }
score-no-test = no genetic test on file
score-no-risk = no risk at the markers tested
score-age = { $years } years
score-age-unknown = not known
score-ages = dam { $dam }, best { $dam_from } to { $dam_to }; sire { $sire }, best to { $sire_to }
risk-affected = { $name }: affected { $chance }
risk-one-copy = { $name }: a copy, which harms already { $chance }
risk-double-merle = { $name }: double merle { $chance }
risk-lost = { $name }: lost before birth { $chance }
year-plan-method = branch and bound on litters per parent over a convex relaxation of c'Kc with a Frank-Wolfe certificate; among plans with the same litters per parent the pairs of least mean inbreeding
year-plan-breed-weighs = the pups' mean kinship to their breed counts { $weight } times as much as that among themselves
year-plan-pups = every litter has { $pups } pups
choice-not-possible = A plan with this pair is not possible.
choice-dam-without-litter = The dam is to have no litter.
choice-costs-nothing = This pair costs the others nothing.
choice-costs-nothing-but-mates = { $dams ->
    [one] This pair costs nothing; one other dam has another mate.
   *[other] This pair costs nothing; { $dams } other dams have another mate.
}
choice-costs = { $dams ->
    [0] With this pair the mean kinship of all pups rises by { $more } percentage points; the others keep their mates.
    [one] With this pair the mean kinship of all pups rises by { $more } percentage points; one other dam changes her mate.
   *[other] With this pair the mean kinship of all pups rises by { $more } percentage points; { $dams } other dams change theirs.
}
fault-not-found-among-candidates = is none of the dogs of this plan
fault-missing-breed-of-weight = say which breed is to weigh
fault-missing-litters-of-weight = say how many litters are wanted: the weight counts in their proposal
fault-missing-litters-of-choices = say how many litters are wanted: a choice is measured by a plan
year-plan-founders = kinship by pedigree; founders count as unrelated
fault-too-few-dogs = give at least one dog
fault-wrong-sex-dams = is a male; give females as dams
fault-wrong-sex-sires = is a female; give males as sires
fault-limit-pairs = { $pairs } pairs are over the limit of { $most }; give fewer dams or sires
fault-limit-pairs-offered = { $pairs } pairs are over the limit of { $most }; offer fewer
fault-limit-animals = { $dogs } dams and sires are over the limit of { $most }; offer fewer
fault-twice-dog-in-table = a dog stands twice
fault-wrong-kind-kinship-size = give { $dogs } x { $dogs } figures, not { $figures }
fault-differs-mirror-image = must equal its mirror image
fault-wrong-kind-no-kinship = is not a table of kinship: it is not positive semi-definite
fault-too-many-litters-fit = at most { $most } litters fit the pairs and limits given; { $wanted } wanted
fault-too-many-litters-must = the litters that dogs must have do not fit the pairs and limits given
fault-unknowable-no-plan = no plan fits
fault-too-few-pairs = give at least one allowed pair
fault-twice-on-offer = stands twice among the dams and sires
fault-not-found-kinship = has no kinship figures; is it in the pedigree?
fault-disordered-litters = must have more litters than it may
fault-not-found-on-offer = needs a dam and a sire from those on offer

## Breeding: the kennel's calendar

planner-as-planned = as planned
planner-days-earlier = { $days } days earlier
planner-days-later = { $days } days later
planner-heat-likely = heat { $number } of { $dam }, likely { $likely }
planner-litter-of = litter of { $dam }
planner-mating-of = mating of { $dam }
planner-draft-for = draft for { $dam }
planner-mating-without-day = A mating of { $dam } is planned without a day, and her next heat cannot be foretold: give planned_on.
planner-same-nights = { $one } and { $other } may whelp within { $days } day(s) of one another ({ $percent } %)
planner-person-away = { $person } is away from { $from } to { $to }; { $litter } may whelp then ({ $percent } %)
planner-no-place = no free whelping place from { $from } to { $to }, worst on { $worst } ({ $percent } %): { $litters }
planner-place-taken = taken or closed from { $from } to { $to }, worst on { $worst } ({ $percent } %): { $litters }
planner-too-few-hands = fewer people than the litters need from { $from } to { $to }, worst on { $worst } ({ $percent } %): { $litters }
fault-out-of-range-span = must be from { $from } to three years after it
fault-twice-key = { $key } is there twice
fault-not-found-litter-of-plan = names no litter of the plan
fault-not-found-female = names no female dog that you may see
fault-not-found-male = names no male dog that you may see
fault-too-early-today = is before today ({ $today })
fault-unknowable-heat = cannot be foretold: record her heats or her birth date, or give mated_on

## Breeding: placing pups

money = { $whole }.{ $part } { $currency }
money-whole = { $whole } { $currency }
placement-objective-must = No buyer gets a pup that fails, or is not known to meet, a wish that must be met.
placement-objective-waiting = Whoever has waited longer is served first; nobody goes without for one who came later.
placement-objective-most-wishes = Among the served, as many wishes as possible are met in all.
placement-objective-weight = Where that leaves a choice, wishes count more the longer a buyer has waited.
placement-place = Place { $place } of { $buyers }.
placement-met = Met: { $wishes }.
placement-not-met = Not met: { $wishes }.
placement-not-known = Not known: { $wishes }.
placement-goes-to-place = { $pup } goes to place { $place }
placement-no-wishes = No wishes.
placement-none-meets-more = No free pup meets more.
placement-more-would-be-met = More would be met, but { $others }.
placement-no-free-pup = There is no free pup.
placement-all-go-to-others = Every pup that would do goes to a buyer who has waited longer.
placement-none-meets-must = No free pup is known to meet all that must be met: { $wishes }.
placement-wish-sex = sex
placement-wish-colour = colour
placement-wish-purpose = purpose
placement-wish-litter = litter
placement-wish-date = date
fault-unknown-value-currency-code = is not an active ISO 4217 currency; write three capital letters, such as EUR
fault-unknown-value-currency-code-given = { $value } is not an active ISO 4217 currency; write three capital letters, such as EUR
fault-out-of-range-entry = must be from { $least_minor } to { $most_minor } minor units
fault-differs-currency = is in { $currency }; this account is kept in { $kept_in }
fault-limit-account = makes the account too large
fault-out-of-range-taken-off = takes off more than was charged; at most { $most }
fault-out-of-range-paid-back = pays back more than was received; at most { $most }
fault-out-of-range-kept = must be from { $least_minor } to the price of { $most_minor } minor units
fault-too-many-at-most = must be at most { $most }
fault-twice-on-list = stands on the list twice
fault-twice-given = is given twice
fault-not-now-stage = cannot follow { $from }; possible: { $possible }
fault-not-now-stage-end = cannot follow { $from }, which is the end
fault-not-now-first-stage = cannot follow the start; possible: { $possible }
fault-missing-reserved-until = give the last day of the reservation
fault-too-early-reserved-until = is before today ({ $today }); give a day to come
fault-not-now-reserved = the reservation is not over; withdraw it instead
fault-not-met-readiness = the pup is not ready to go home; see its readiness for what is missing
fault-empty-wish = must be a text of 1 to { $most } characters, or null
fault-too-long-wish = must be a text of 1 to { $most } characters, or null
fault-disordered-wish = is before from_on ({ $from_on })
fault-only-together-must = is no wish of this buyer; give the wish or leave it out of must

## Tasks

task-line = { $head }: { $parts }
task-line-of = { $head }: { $parts } ({ $litters })
task-line-more = { $head }: { $parts } and { $more } more
task-line-more-of = { $head }: { $parts } and { $more } more ({ $litters })
task-of-litter = { $litter }: { $what }
litter-of-dam = litter of { $dam }
task-dose-of = { $dose } ({ $who })
task-dose-if-asked = { $dose }, where your veterinarian or the law asks for it
task-dogs = { $count } dogs
task-find-out = Find out what was given before
task-find-out-of-dog = Find out what { $dog } was given before: { $asked }
task-find-out-in-short = { $dog } ({ $asked })
task-asked-birth = day of birth
task-asked-worming = worming
task-asked-vaccination = vaccination
task-weigh = { $litter }: weigh the pups ({ $unweighed } not weighed today)
task-weigh-nameless = Litter: weigh the pups ({ $unweighed } not weighed today)
task-tell-of-death = { $pup } died on { $died_on }: tell its buyer, and give back what was paid or offer another pup
task-a-pup = A pup
task-report = Read what the new owner tells of { $dog }, and accept or refuse it
task-report-of-illness = Read today what the new owner tells of { $dog }: it was ill
task-report-of-death = Read today what the new owner tells of { $dog }: it died
task-follow-up = { $pup }: { $what }
task-done-of = { $title } ({ $done } of { $times } done)
task-times-a-day = { $title } ({ $times } times a day)
task-buy = Buy { $what }
task-shopping = Shopping
task-progesterone-test = { $dam }: progesterone test ({ $why })
task-planned-mating-natural = { $dam }: planned mating (natural)
task-planned-mating-fresh = { $dam }: planned mating (fresh)
task-planned-mating-chilled = { $dam }: planned mating (chilled)
task-planned-mating-frozen = { $dam }: planned mating (frozen)
fault-in-future-task-done = is after now ({ $now })
fault-only-together-task-done-by = must be given with done_at
fault-too-early-task-snooze = must be after today ({ $today }); to do it today, take the snooze away
fault-missing-task-snooze-reason = say why it is put off
fault-already-done-task-snooze = a task that is done cannot be put off
fault-out-of-range-days-ahead = must be from 0 to { $most } days

## Preparation and shopping

preparation-nothing = Nothing to prepare: the litter has no date, saw no pup at its last check, or its pups have gone.
shopping-line = { $supply }: { $amount } { $unit }
shopping-line-packs = { $supply }: { $amount } { $unit } ({ $packs ->
    [one] 1 pack
   *[other] { $packs } packs
} of { $size })
fault-not-found-preparation-key = { $key } is no key of the default template
fault-malformed-preparation-key = must be small letters, digits and _
fault-twice-preparation-key = { $key } is there twice
fault-empty-preparation-title = is empty
fault-disordered-preparation-days = must be at least from_day ({ $from_day })
fault-out-of-range-preparation-day = must be from -{ $most_days } to { $most_days }
fault-out-of-range-preparation-every-days = must be at least 1
fault-out-of-range-preparation-times-a-day = must be from 1 to 24
fault-out-of-range-preparation-of-use = must be at most { $most_days }
fault-out-of-range-supply-amount = must be from 0 to 10000
fault-out-of-range-supply-pack-size = must be above 0 and at most 10000
fault-not-together-supply-shared = is for what is reusable; what is used up is never shared
fault-out-of-range-supply-days = must be from used_from_day ({ $from_day }) to { $most_days }

## Readiness to go home

readiness-rule-minimum-age = the least age
readiness-rule-weight-reached = the least weight
readiness-rule-gaining = gaining weight
readiness-rule-weaned = weaning
readiness-rule-worming = worming
readiness-rule-vaccination = vaccination
readiness-rule-microchip = the chip
readiness-rule-examination = the veterinary examination
readiness-rule-paperwork = the papers
readiness-rule-balance-paid = the balance
readiness-rule-border = the border
readiness-border-elsewhere = It is judged by the country that the pup goes to.
readiness-no-birth = The day of birth is not recorded.
readiness-age-weeks = { $weeks ->
    [one] { $weeks } week
   *[other] { $weeks } weeks
}
readiness-age-days = { $days ->
    [one] { $days } day
   *[other] { $days } days
}
readiness-age-months = { $months ->
    [one] { $months } month
   *[other] { $months } months
}
readiness-age-at-least = { $weeks } completed weeks old; at least { $age } asked ({ $scope }): from { $first_day } on.
readiness-age-more-than = { $weeks } completed weeks old; more than { $age } asked ({ $scope }): from { $first_day } on.
readiness-no-weight = No weight is recorded; weigh the pup.
readiness-weight-reached = { $weight_g } g on { $on }; { $least_g } g asked.
readiness-weight-forecast = { $weight_g } g on { $on }; { $least_g } g asked: by its growth about { $likely } ({ $earliest } to { $latest }).
readiness-weight-no-forecast = { $weight_g } g on { $on }; { $least_g } g asked; too few weights for a forecast.
readiness-gain-unknown = Too few weights to tell; weigh the pup on two days.
readiness-gain-none = It did not gain to its last weighing on { $on }.
readiness-gain-stale = It gained, but was last weighed { $days } days ago; weigh it again.
readiness-gain = It gained to its last weighing on { $on }.
readiness-weaned = Weaned on { $on }.
readiness-to-be-weaned = To be weaned on { $on }.
readiness-weaning-assumed = No day of weaning is recorded; the day is the usual age.
readiness-weaning-unknown = Neither birth nor weaning is recorded.
readiness-no-plan = No health plan in force asks for it before go-home; choose a plan.
readiness-step-undated = { $step } cannot be dated without { $lacks }.
readiness-step-anchor = its anchor
readiness-steps-done = As planned; last on { $on }.
readiness-steps-none = Nothing was planned up to now.
readiness-step-late = { $step }: late since { $on }
readiness-step-planned = { $step }: planned for { $on }
readiness-step-late-why = { $step }: late since { $on } ({ $why })
readiness-step-planned-why = { $step }: planned for { $on } ({ $why })
readiness-open = { $parts }.
readiness-chip = Chip { $number }.
readiness-chip-old = { $number } is older than ISO 11784; an ISO chip is asked.
readiness-chip-wrong = The chip number { $fault }.
readiness-chip-no-number = It was chipped, but no number is recorded.
readiness-chip-none = No chip number is recorded.
readiness-no-paper-asked = No paper is asked for.
readiness-paper-missing = { $paper } is missing
readiness-paper-too-new = { $paper } of { $on } must be { $days ->
    [one] { $days } days
   *[other] { $days } days
} old
readiness-papers-there = There: { $papers }.
readiness-no-sale = No sale is recorded, so nothing is owed.
readiness-no-price = A sale is recorded, but no price.
readiness-nothing-owed = Nothing is owed.
readiness-owed = { $sum } are owed.
readiness-something-owed = Something is owed.
readiness-owed-unknown = It is not known whether something is owed.
readiness-pups-passing = { $passing } of { $count } pups.
border-asks-months = at least { $months ->
    [one] { $months } month
   *[other] { $months } months
} of age
border-asks-age = at least { $age } of age
border-asks-rabies-weeks = rabies vaccination from { $weeks } weeks of age on and { $wait_days } days to wait
border-asks-rabies-days = rabies vaccination from { $days } days of age on and { $wait_days } days to wait
border-crossed = Goes to { $country }: { $asked }: from { $on } on.
border-no-dose = No such dose is recorded.
border-ask = Ask the authority of { $country } and a veterinarian before a day is promised: the pup goes abroad.
border-listed = Listed for a pup { $border }, last read on { $checked_on }: { $note }
border-unconfirmed = Not confirmed.
border-called = the border { $border }
border-not-found = Looked for on { $looked_on }, no figure found: { $looked_at }.
border-unlisted = No rules are listed for this border from the kennel's jurisdiction.
go-home-law-none = Ask what your law says: strict defaults are used.
go-home-law-none-why = No rules are listed for the jurisdiction "{ $jurisdiction }".
go-home-law-unconfirmed = Ask what your law says: a rule listed for your jurisdiction is not confirmed.
go-home-law-unconfirmed-why = It is about { $rule }, for { $scope }.
go-home-law-nothing-found = Looked for on { $looked_on }, nothing found: { $rules }.
go-home-law-not-looked-for = Not looked for: { $rules }.
go-home-law-ask = Ask what the law of { $jurisdiction } says about { $rules }.
go-home-too-young = Keep the pup with its dam: local law decides on the age, a veterinarian on exceptions.
go-home-too-young-why = The least age is not reached.
go-home-set-aside = The rule on { $rule } was set aside by { $by } on { $on }.
go-home-set-aside-why = { $detail } Reason: { $reason }
readiness-scope-kennel = this kennel
fault-out-of-range-override-reason = must say why, in 10 to 1000 characters
fault-missing-override-by = must name who decided
fault-in-future-override = is after today ({ $today })
fault-out-of-range-kennel-age = must be at most { $most_weeks } weeks
fault-by-law-kennel-age = is below the least age of the kennel's jurisdiction
fault-out-of-range-kennel-weight = must be from 1 to 100000 g
fault-missing-kennel-paper = needs a paper, a name and days_before of at most 365
fault-by-law-left-out = is asked for by law; an owner may set it aside for one pup, with a reason

## Reports

fault-not-found-money-litter = is for a litter that is not given
fault-out-of-range-money-total = makes the total too large

## Booklet

booklet-lacks-name = the registered name
booklet-lacks-sex = the sex
booklet-lacks-colour = the colour
booklet-lacks-birth = the day of birth
booklet-lacks-chip = the chip number
booklet-lacks-register = an entry in a register
booklet-lacks-sire = the sire
booklet-lacks-dam = the dam
booklet-lacks-birth-weight = the weight at birth
booklet-lacks-weight = any weight
booklet-lacks-worming = any worming
booklet-lacks-vaccination = any vaccination
booklet-lacks-examination = a veterinary examination
booklet-lacks-contact = how to reach the kennel
booklet-lacks-worming-batch = the batch of the worming of { $on }
booklet-lacks-vaccination-batch = the batch of the vaccination of { $on }

## What recurs: advice, times, spans, amounts

standing-line = Guidance from published sources; a licensed veterinarian and local law decide.
clock-on-day = { $time } on { $day_of_month } { $month ->
    [1] January
    [2] February
    [3] March
    [4] April
    [5] May
    [6] June
    [7] July
    [8] August
    [9] September
    [10] October
    [11] November
   *[12] December
}
span-minutes = { $minutes } min
span-hours = { $hours } h
span-hours-minutes = { $hours } h { $minutes } min
amount-minutes = { $amount } { $amount ->
    [one] minute
   *[other] minutes
}
amount-hours = { $amount } { $amount ->
    [one] hour
   *[other] hours
}
amount-days = { $amount } { $amount ->
    [one] day
   *[other] days
}
amount-of = { $amount } { $unit }
signed-up = +{ $figure }
signed-down = { $figure }
list-semicolon = { $begin }; { $end }
label-the-dam = the dam
label-litter = Litter

## Faults of what is written down of dam and pups

fault-in-future-device-clock = is in the future (now it is { $now }); check the clock of the device
fault-in-future-reading = is after now ({ $now })
fault-out-of-range-dam-celsius = must be { $from } to { $to } degrees Celsius
fault-out-of-range-dam-fahrenheit = must be Celsius; { $fahrenheit } Fahrenheit is { $celsius }
fault-out-of-range-pup-celsius = must be in degrees Celsius, { $from } to { $to }
fault-out-of-range-pup-fahrenheit = must be in degrees Celsius; { $fahrenheit } Fahrenheit is { $celsius }
fault-out-of-range-reading-celsius = must be from { $from } to { $to } °C
fault-out-of-range-reading-fahrenheit = must be from { $from } to { $to } °C; { $fahrenheit } °F would be { $celsius } °C
fault-out-of-range-placentas = must be { $from } to { $to }
fault-empty-given = must say what was given
fault-empty-log-note = is empty
fault-only-together-given-ordinal = is the number of a pup; say "given_to": "pup", or leave it out
fault-out-of-range-pups-most = must be at most { $most }
fault-disordered-pup-count = must be at least count_at_least ({ $count_at_least })
fault-out-of-range-no-pups = no pups means that there is no litter
fault-out-of-range-earlier-litter = must be from { $from } to { $to }
fault-out-of-range-inbreeding-share = must be from { $from } to { $to }
fault-out-of-range-adult-weight-above = must be above { $above_g } g

## The night of whelping

alarm-night-reached-now = Call the vet now: { $what }.
alarm-night-reached-advice = Ring the vet for advice: { $what }.
alarm-night-reached-note = Write down whether all are out, and watch her: { $what }.
alarm-night-waiting-call = Call the vet at { $at } if nothing has changed by then ({ $what }).
alarm-night-waiting-advice = Ring the vet for advice at { $at } if nothing has changed by then ({ $what }).
alarm-night-waiting-note = Write down whether all are out, and watch her at { $at } if nothing has changed by then ({ $what }).
alarm-night-limit-why = { $span } so far; the limit is { $limit }.
limit-strong-straining = she strains hard and no pup has come
limit-weak-contractions = weak contractions and no pup
limit-no-pup-since = no pup since the last one
limit-no-pup-and-open = no pup since the last one and nobody wrote that all are out; a count can miss one
limit-waters = the waters broke and no pup has come
limit-active-labour-long = active labour is long, and pups that come later are born dead more often
limit-second-stage-long = the second stage is too long
limit-green-discharge = green or black discharge before the first pup
limit-first-stage = the first stage goes on without straining
alarm-night-written-at = Written at { $at }.
alarm-night-pup-stuck = Call the vet now: a pup is stuck.
alarm-night-collapse = Call the vet now: she has collapsed.
alarm-night-severe-pain = Call the vet now: she is in severe pain.
alarm-night-heavy-bleeding = Call the vet now: she bleeds heavily.
alarm-night-fits = Call the vet now: she has fits or is stiff.
alarm-night-foul-discharge = Foul discharge: call the vet today, now if she is dull or has a fever.
alarm-night-bright-red = Call the vet now: bright red discharge, unless it is only spotting.
alarm-night-stillborn-more = Call the vet now: pups are born dead one after another, and more may come.
alarm-night-stillborn-over = Call the vet today: pups were born dead one after another; have the dam and the living pups looked at.
alarm-night-stillborn-why = { $count } in a row.
alarm-night-fewer-silent = Fewer pups are out than were counted: have the vet look whether one was left inside, or correct the count.
alarm-night-fewer-closed = Call the vet now: fewer pups are out than were counted, one may be left inside.
alarm-night-fewer-why = { $out } out, at least { $counted } counted.
alarm-night-placentas-missing = Placentas are missing: tell the vet, take her temperature and watch the discharge (she may have eaten them).
alarm-night-placentas-count = Fewer placentas than pups were written down: keep counting (two pups may come before two placentas, and she may eat them).
alarm-night-placentas-why = { $missing } not seen, { $span } after the last pup; usually out within { $limit_hours } h.
alarm-night-calcium = Calcium was given before the first pup: tell the vet, it may bring on low calcium later.
alarm-night-calcium-why = Given at { $at }.
alarm-night-double = Pups { $one } and { $other } may be one pup written down twice: look, and delete one or say what tells them apart.
alarm-night-double-why = Born { $seconds } s apart; sex, collar, colour and weight do not differ.
whelping-lacks-count = a count of the pups: without it nobody can tell whether all are out
whelping-lacks-day = the day of pregnancy
whelping-lacks-log = any entry of the log

## Before the birth

alarm-overdue-call = She is overdue: call the vet now.
alarm-overdue-ring = She is overdue: ring the vet today and have dam and pups checked.
alarm-overdue-soon = If she has not whelped by { $ring_on }, have the vet check dam and pups.
alarm-overdue-why = { $days } days { $from }; the vet is rung from { $ring_on }.
alarm-overdue-why-and-called = { $days } days { $from }; the vet is rung from { $ring_on } and called from { $call_on }.
overdue-from-lh-surge = from the LH surge
overdue-from-progesterone-rise = from the first progesterone rise
overdue-from-ovulation = from ovulation
overdue-from-dioestrus = from the first day of dioestrus
overdue-from-ultrasound = from the due day by ultrasound
overdue-from-forecast = from the due day foretold by the vet
overdue-from-first-mating = from the first mating
overdue-from-window = from the end of the due window
alarm-too-early-born-now = Call the vet now: the pups are born too early; keep them warm and watch their breathing.
alarm-too-early-born-today = The pups are born early: call the vet today, keep them warm, see that each sucks and breathes easily.
alarm-too-early-labour-now = Call the vet now: labour begins too early.
alarm-too-early-labour = Labour begins early: call the vet before the first pup comes.
alarm-too-early-why = Day { $day } of pregnancy; before day { $limit_day } is early.
alarm-temperature-low-early = Her temperature was low before the due days: take it again twice a day.
alarm-temperature-fell-a-day-ago = Call the vet now: her temperature fell a day ago and labour has not begun, whether it came back or not.
alarm-temperature-labour-near = Labour is near: do not leave her alone, have everything ready, and call the vet at { $at } if it has not begun.
alarm-temperature-fell-why = Fell { $hours } hours ago; the limit is { $limit_hours } hours.
alarm-progesterone-low = Call the vet today: progesterone is low and labour has not begun.
alarm-progesterone-labour-near = Progesterone is low, labour is near: call the vet at { $at } if it has not begun.
alarm-progesterone-why = { $ng_per_ml } ng/mL { $ago } ago; the limit is { $limit_ng_per_ml } ng/mL.
temperature-too-few = Too few readings to know what is usual for her.
temperature-steady = No fall so far: that makes labour today less likely, but { $percent } % of dams show none.
temperature-possible-fall = One low reading: take it again within the hour.
temperature-fall = The fall before labour: whelping within 24 hours has a chance of { $percent } %.
temperature-recovered = It fell and has come back: labour should be under way or near.
alarm-temperature-fever = The dam has a fever: call the vet now.
alarm-temperature-fever-why = { $temperature_c } °C; the limit is { $limit_c } °C.
alarm-temperature-untaken = Take her temperature now: a fall in between may have been missed.
alarm-temperature-untaken-why = Last reading { $hours } hours ago.

## The sheet by the whelping box

whelping-pup-female = female
whelping-pup-male = male
whelping-pup-head-first = head first
whelping-pup-tail-first = tail first
whelping-pup-points = { $points }
whelping-pup-points-range = { $least } to { $most }
whelping-pup-stillborn = stillborn
whelping-pup-helped = helped to breathe for { $minutes } min
whelping-log-temperature = temperature { $temperature }
whelping-log-nesting = nesting
whelping-log-restless = restless
whelping-log-panting = panting
whelping-log-shivering = shivering
whelping-log-vomiting = vomiting
whelping-log-refuses-food = refuses food
whelping-log-seeks-or-hides = seeks or hides
whelping-log-strong-contractions = strong contractions
whelping-log-weak-contractions = weak contractions
whelping-log-rests = rests
whelping-log-waters = waters
whelping-log-discharge-clear = clear discharge
whelping-log-discharge-green-black = green black discharge
whelping-log-discharge-red-brown = red brown discharge
whelping-log-discharge-bright-red = bright red discharge
whelping-log-discharge-foul = foul discharge
whelping-log-discharge-spotting = { $discharge }, spotting
whelping-log-discharge-more = { $discharge }, more
whelping-log-given = given { $what }
whelping-log-given-dam = given to the dam { $what }
whelping-log-given-a-pup = given to a pup { $what }
whelping-log-given-pup = given to pup { $pup } { $what }
whelping-log-given-amount = { $what }, { $amount }
whelping-log-given-by = { $what } (advised by { $by })
whelping-log-placentas = placentas: { $count }
whelping-log-helped = helped to breathe
whelping-log-helped-for = helped to breathe for { $minutes } min
whelping-log-helped-pup = helped pup { $pup } to breathe
whelping-log-helped-pup-for = helped pup { $pup } to breathe for { $minutes } min
whelping-log-breathed = { $helped }, it breathed
whelping-log-not-breathed = { $helped }, it did not breathe
whelping-log-alarm-pup-stuck = ALARM: pup stuck
whelping-log-alarm-collapse = ALARM: collapse
whelping-log-alarm-severe-pain = ALARM: severe pain
whelping-log-alarm-heavy-bleeding = ALARM: heavy bleeding
whelping-log-alarm-fits = ALARM: fits
whelping-log-vet-called = vet called
whelping-log-vet-called-advice = vet called: { $advice }
whelping-log-caesarean = caesarean
whelping-log-finished = all pups are out

## The dam after whelping

alarm-dam-low-calcium-now = Call the vet now: stiffness, trembling, fits or fever of a restless nursing dam may be low calcium. Take the pups away from her.
alarm-dam-low-calcium-today = Restless or panting: this can be the beginning of low calcium, which worsens within hours. Call the vet today and watch for stiffness or trembling.
alarm-dam-low-calcium-why = Day { $day } after whelping, the usual time for it; { $pups } pups.
alarm-dam-low-calcium-why-first = Day { $day } after whelping, the usual time for it; { $pups } pups, her first litter (a risk).
alarm-dam-low-calcium-why-later = Day { $day } after whelping, later than usual for it; { $pups } pups.
alarm-dam-low-calcium-why-later-first = Day { $day } after whelping, later than usual for it; { $pups } pups, her first litter (a risk).
alarm-dam-glands-full = Her glands are full: see that the pups empty them all, look again today.
alarm-dam-glands-hot = A gland is hot, painful or hard, which is how mastitis begins: call the vet today.
alarm-dam-glands-ill = Call the vet now: inflamed glands (mastitis) with fever, dullness or bad milk.
alarm-dam-glands-why = Glands seen in the last day; temperature { $temperature_c } degrees.
alarm-dam-glands-why-unknown = Glands seen in the last day; temperature not known.
alarm-dam-foul-unwell = Call the vet now: foul discharge and an unwell dam, perhaps an infected womb.
alarm-dam-foul = Foul discharge: call the vet today, it may be an infection of the womb.
alarm-dam-foul-why = Day { $day } after whelping; typical within two weeks.
alarm-dam-bleeding = Call the vet now: she bleeds, unless it is only spotting.
alarm-dam-bleeding-why = Bright red discharge on day { $day } after whelping.
alarm-dam-green = Call the vet today: green or black discharge goes on, a placenta may have stayed.
alarm-dam-green-fever = Call the vet now: green or black discharge with fever, a placenta may have stayed.
alarm-dam-green-why-all = { $hours } h after the last pup, limit { $limit_hours } h; all placentas were counted, but counts deceive.
alarm-dam-green-why-missing = { $hours } h after the last pup, limit { $limit_hours } h; { $missing } placentas were not seen.
alarm-dam-green-why-uncounted = { $hours } h after the last pup, limit { $limit_hours } h; placentas were not counted.
alarm-dam-placenta-fever = Call the vet now: fever with placentas missing.
alarm-dam-placenta-why = { $missing } placentas were not seen
alarm-dam-fever-and-dull = Call the vet now: fever, and she is dull or neglects her pups.
alarm-dam-seen = Seen in the last day.
alarm-dam-fever-very-high = Call the vet now: very high temperature.
alarm-dam-fever = She has a fever: call the vet today, look at glands and discharge.
alarm-dam-raised = Her temperature is a little raised: take it again this evening.
alarm-dam-fever-why = { $temperature_c } degrees, { $hours } h after the last pup. The limit is { $limit_c }.
alarm-dam-cold = She is colder than usual: take it again, and call the vet if she is dull.
alarm-dam-cold-why = { $temperature_c } degrees.
alarm-dam-pups-cry = Her pups cry and do not settle: see whether they are warm and fed, look at her glands, and call the vet today.
alarm-dam-not-eaten = She has not eaten for a day: call the vet.
alarm-dam-not-eating = She does not eat: offer tasty food at the box, take her temperature.
alarm-dam-not-eating-why = No food for { $hours } h.
alarm-dam-discharge-too-long = Discharge goes on too long: see the vet.
alarm-dam-discharge-long = Discharge lasts longer than three weeks: mention it to the vet.
alarm-dam-discharge-why = Seen on day { $day }.
dam-lacks-temperature = her temperature in the last day
dam-lacks-glands = a look at her glands in the last day
dam-lacks-appetite = whether she eats

## The newborn

alarm-first-milk = See that every pup sucks in its first hours and write it down: first milk protects it.
alarm-first-milk-why = Nothing is written yet; it counts most in the first { $hours } hours and ends at { $ends_hours }.
alarm-newborn-not-breathed-now = { $pup } did not breathe: clear its airways, rub and warm it, and call the vet now.
alarm-newborn-not-breathed = { $pup } did not breathe when it was helped: write down whether it lives, and have the vet look at it today.
alarm-newborn-not-breathed-why = Helped { $minutes } min ago.
warmth-chilled = { $pup } is chilled: warm it slowly against your skin, do not feed it before it is warm, and call the vet now.
warmth-too-cool = { $pup } is too cool: warm it slowly before anything is fed, see that it nurses, and ask the vet if it stays so.
warmth-little-cool = { $pup } is a little cool: look at the warmth of the nest and take its temperature again in an hour.
warmth-dangerously-hot = { $pup } is dangerously hot: take it out of the warmth, cool it slowly, and call the vet now.
warmth-fever = { $pup } has a fever: look whether the nest is too hot, and call the vet today.
warmth-little-warm = { $pup } is a little warm: take its temperature again when it has rested.
warmth-too-warm = { $pup } is too warm: look whether the nest is too hot; if it stays so, call the vet.
warmth-why = { $temperature_c } degrees at { $age_days } days; the limit is { $limit_c }.
warmth-before = { $pup } was out of the usual a few hours ago: keep it warm, see that it feeds, take its temperature again, and call the vet if it is weak.
warmth-now = It is { $temperature_c } now.
alarm-newborn-sign = { $pup } { $sign }.
alarm-newborn-sign-why = Seen { $ago } ago.
alarm-newborn-fading = { $pup } shows several signs of illness and may be fading: warm it and call the vet now.
alarm-newborn-fading-why = { $signs }.
word-pup-limp = limp
word-pup-blue = blue
word-pup-gasping = gasping
word-pup-cold = cold
word-pup-not-sucking = not sucking
word-pup-crying = crying
word-pup-bloated = bloated
word-pup-diarrhoea = diarrhoea
word-pup-vomiting = vomiting
word-pup-weak = weak
word-pup-fits = trembling or fits
word-pup-dehydrated = dried out
word-pup-navel = a bad navel
word-exam-palate = roof of the mouth and lips
word-exam-suck-reflex = suck reflex
word-exam-anus = anus
word-exam-umbilicus = navel
word-exam-belly-wall = belly wall
word-exam-limbs = limbs
word-exam-spine-and-tail = back and tail
word-exam-skull = skull
word-exam-eyes = eyes
word-exam-genitals = genitals
word-exam-skin = skin
alarm-newborn-unexamined = Look over { $pups } from head to tail before the first feed, and write down what you find.
alarm-newborn-unexamined-why = Not looked at yet: { $places }.
alarm-newborn-fades-now = { $pup } is fading by all that is known of it: warm it and call the vet now.
alarm-newborn-fades-today = { $pup } may be fading: take its temperature, see that it is warm and fed, weigh it again, and call the vet today.
alarm-newborn-fades-why = Probability { $percent } % by weights and what was seen together: { $grounds }.
fading-temperature = { $temperature_c } °C
fading-not-nursing = was seen not to suck
fading-nursing = was seen to suck
fading-little-taken = took too little by hand
fading-no-signs = the last look found no sign of illness
fading-signs = signs: { $signs }
fading-weak-at-birth = was weak at birth ({ $points } points)
fading-lacks-weights = its weights, at least two
fading-lacks-temperature = its temperature of today
fading-lacks-look = a look at it today: how it lies, sucks and breathes
alarm-newborn-unfed = { $pup } has had no feed since it was born: feed it first milk of its dam if it is warm, or ask the vet how else, today.
alarm-newborn-unfed-yet = { $pup } has not been fed yet: see that it gets first milk in its first hours.
alarm-newborn-unfed-why = { $age_hours } hours old; first milk counts most in the first { $hours } and ends at { $ends_hours }.
vitality-severe = Severe distress: clear its airways, rub and warm it, and call the vet now.
vitality-moderate = Moderate distress: rub and warm it, score it again in a few minutes.
vitality-risk = Watch it closely for a day: a low score in the first hours goes with death in the first 24.
vitality-why = At most { $points } of 10 points.
vitality-risk-limit = The limit is { $limit_points } within { $hours } h.
vitality-lacks-heart = heart rate
vitality-lacks-breath = breath or cry
vitality-lacks-reflex = reflex
vitality-lacks-motility = motility
vitality-lacks-gums = colour of the gums

## Weights that call

alarm-growth-litter-losing = More than half of the litter lost weight since yesterday: check the scale, then the dam's milk, glands and temperature.
alarm-growth-scale-down = All pups weigh { $percent } % less than a day ago, and all alike: check the scale (zero, unit, what lies on it) and weigh them again now. If it is so again, all have lost: see to the dam's milk, feed them, and call the vet now.
alarm-growth-scale-up = All pups weigh { $percent } % more than a day ago, and all alike: check the scale (zero, unit, what lies on it) and weigh them again.
alarm-growth-scale-why = { $pups } pups of one round changed by nearly the same; pups that lose differ from one another.
alarm-growth-litter-losing-why = { $losing } of { $weighed } pups weighed lost weight.
alarm-growth-change = { $weight_g } g after { $before_g } g in { $hours } h ({ $percent } % a day).
alarm-growth-early-loss-now = { $pup } has lost a tenth of its birth weight or more and does not gain: call the vet now; it needs supplement feeding.
alarm-growth-early-loss-today = { $pup } has lost a tenth of its birth weight or more: warm it, see that it nurses, and ask the vet about supplement feeding today.
alarm-growth-early-loss-first-day = { $pup } is a little below its birth weight, which may be normal on the first day: weigh again in 12 hours.
alarm-growth-early-loss-still = { $pup } is still below its birth weight: watch that it nurses and gains.
alarm-growth-early-loss-why = { $weight_g } g at { $age_hours } h after { $birth_g } g at birth ({ $percent } %); the limit is { $limit_percent } %.
alarm-growth-lost = { $pup } has lost weight since the day before: check that it is warm and nurses or eats, weigh again in { $hours } hours.
alarm-growth-not-gained = { $pup } has not gained since the day before: check that it is warm and nurses or eats, weigh again in { $hours } hours.
alarm-growth-failing-watch = { $pup } may be failing: weigh it twice a day.
alarm-growth-failing-act = { $pup } may be failing: warm it, see that it nurses, and call the vet today.
alarm-growth-failing-why = Gain { $gain } % a day where { $expected } % was expected; probability { $percent } %.
alarm-growth-early-growth = { $pup } grew too little from birth to day 2 and is at higher risk to day 21: weigh it twice a day.
alarm-growth-early-growth-why = { $growth } % against a limit of { $limit } %.
alarm-growth-birth-weight-low = { $pup } had a low birth weight for its breed: keep it warm, see that it nurses often, weigh it twice a day.
alarm-growth-birth-weight-very-low = { $pup } had a very low birth weight for its breed: keep it warm, see that it nurses often, weigh it twice a day.
alarm-growth-birth-weight-why = { $weight_g } g, under { $limit_g } g; { $percent } % of such pups died within 21 days.
alarm-growth-below-litter = { $pup } is far lighter than its litter: give it time alone at the dam and ask the vet whether to feed it by hand.
alarm-growth-below-litter-why = { $percent } % below the mean of the litter; the limit is { $limit_percent } %.
alarm-growth-not-doubled = { $pup } has not doubled its birth weight yet: mention it to the vet.
alarm-growth-not-tripled = { $pup } has not tripled its birth weight yet: mention it to the vet.
alarm-growth-multiple-why = { $multiple } times its birth weight at { $age_days } days; usual from day { $from_day }, at the latest day { $limit_day }.
alarm-growth-unweighed = { $pup } has not been weighed lately: weigh it today.
alarm-growth-unweighed-why = The last weight is { $hours } hours old.

## Before a pup goes home

alarm-go-home-step-not-counted = { $step } ({ $why })
alarm-go-home-missing = { $pup } is promised and old enough to go, and this is missing: { $missing }. Ask your veterinarian for it before the hand-over.
alarm-go-home-still-missing = { $pup } is promised and may go from { $goes_on } on; still missing: { $missing }.
alarm-go-home-why = Old enough at { $age }: on { $goes_on }.
alarm-go-home-died = { $pup } has died: it goes to no home. Tell its buyer, give back what was paid or offer another pup, and withdraw the placement.
alarm-go-home-died-why = It died on { $died_on } and is promised.

## How many pups to expect

expected-pups-mean = { $group }: mean { $mean } ({ $source })
expected-pups-size-under-5-kg = dams under 5 kg
expected-pups-size-5-to-10-kg = dams of 5–10 kg
expected-pups-size-10-to-25-kg = dams of 10–25 kg
expected-pups-size-25-to-45-kg = dams of 25–45 kg
expected-pups-size-over-45-kg = dams over 45 kg
expected-pups-size-usual = { $size }, as her breed usually is
expected-pups-all-breeds = all breeds
expected-pups-earlier = her { $litters } earlier litters, mean { $mean }, count { $percent } % ({ $source })
expected-pups-effect = { $what }: { $pups } ({ $source })
expected-pups-effect-unconfirmed = { $what }: { $pups } ({ $source }; not confirmed)
expected-pups-insemination = insemination
expected-pups-insemination-frozen = insemination with frozen semen
expected-pups-litter-inbreeding = litter's inbreeding { $inbreeding } or more
expected-pups-dam-inbreeding = dam's inbreeding { $inbreeding } or more
expected-pups-ultrasound = ultrasound
expected-pups-radiograph = radiograph
expected-pups-palpation = palpation
expected-pups-counts = { $method } counts { $count } ({ $source })
expected-pups-counts-range = { $method } counts { $least } to { $most } ({ $source })
expected-pups-counts-at-least = { $method } counts at least { $least } ({ $source })
expected-pups-counts-at-most = { $method } counts at most { $most } ({ $source })
expected-pups-counts-nothing = { $method } without a usable count
expected-pups-born = { $born } born already

## Why a coefficient is a lower bound

about-inbreeding = Each coefficient is a lower bound: ancestors that are not known count as unrelated, and a dog with an unknown parent has 0 by convention. How complete the pedigree is stands beside it.
lower-bound-neither = A lower bound: neither parent is known, so that it is 0 by convention and says nothing.
lower-bound-sire = A lower bound: the sire is not known, so that it is 0 by convention; known are { $generations } complete generations.
lower-bound-dam = A lower bound: the dam is not known, so that it is 0 by convention; known are { $generations } complete generations.
lower-bound-ancestors = A lower bound: from generation { $from_generation } on ancestors are not known and count as unrelated; known are { $generations } complete generations.

## Records: what is wrong with a value

fault-missing-given = is missing; it must be given
fault-missing-died-on = is missing; a cause of death needs its day
fault-missing-value-or-finding = is missing; give a value with its unit, or a finding in words
fault-missing-finding = is missing; say which sign was seen
fault-missing-dam = is missing; give the dam, or the mating that the litter comes from
fault-missing-buyer = is missing; a sale has a buyer
fault-empty-ties = is empty; a mating that is done has at least one tie or insemination
fault-empty-name-from-to = must be a name of { $least } to { $most } characters
fault-too-long-name-from-to = must be a name of { $least } to { $most } characters
fault-too-long-by = is { $length } characters long; { $most } is the most
fault-too-long-search = is longer than { $most } characters; give a part of a name or number
fault-too-short-reason = must say why, in { $least } to { $most } characters
fault-twice-in-list = stands in the list already
fault-twice-leave-out = stands in the list twice; leave one out
fault-in-future-time = is in the future (now is { $now }); give the time it happened
fault-in-future-day = is in the future (today is { $today }); give the day it happened
fault-in-future-birth = is after today ({ $today }); give the day the dog was born
fault-in-future-death = is after today ({ $today }); give the day the dog died
fault-too-early-birth = is before the birth; correct one of the two
fault-too-early-held-until = is before held_from; correct one of the two
fault-too-early-last-on = ends before it begins; give a day from { $first_on } on
fault-missing-news = tells nothing; give a weight, its coat, its temperament, news of its health or a message
fault-missing-adult-weight = goes with full_grown; give the weight
fault-too-early-joined = is before they joined ({ $joined_on }); correct one of the two
fault-too-early-whelping = needs a day of whelping before it
fault-disordered-first-day = is before the first day ({ $first_day }); correct one of the two
fault-disordered-last-day = is after the last day ({ $last_day }); correct one of the two
fault-out-of-range-due-on = must be from the day of the check ({ $checked_on }) to { $most_days } days after it
fault-out-of-range-birth-weight = is more than a pup weighs at birth (at most { $most_g } g); give grams
fault-out-of-range-count = is below count_at_least ({ $least }); correct one of the two
fault-out-of-range-share = makes more than the whole dog; give at most the denominator
fault-out-of-range-rule = must be from { $from } to { $to } { $unit }
fault-not-together-dam-is-sire = is the sire as well; a dog has two parents
fault-not-together-sire-is-dam = is the dam as well; give a male dog
fault-not-together-sire-is-dam-or-null = is the dam as well; give a male dog or null
fault-not-together-planned-with-ties = says planned but there are ties; set it to done
fault-not-together-counted-pups = says not_pregnant but pups were counted; correct one of the two
fault-only-together-price = goes with price_minor; give both or neither
fault-wrong-kind-unit = does not fit a { $kind } value; progesterone takes ng_per_ml or nmol_per_l, lh ng_per_ml, cytology cornified_fraction (0–1), a sign no value
fault-wrong-kind-price = is the price, which stands on the placement; change its price_minor
fault-unknown-value-time-zone = is not an IANA time zone; write one such as Europe/Berlin
fault-unknown-value-currency = is not an active ISO 4217 currency
fault-unknown-value-rule-set = names no set of limits; there are { $known }
fault-unknown-value-rule-set-near = names no set of limits; there are { $known }; did you mean { $near }?
fault-unknown-value-action = ends with none of { $known }
fault-unknown-value-action-near = ends with none of { $known }; did you mean { $near }?
fault-unknown-value-word = { $value } is none of { $known }
fault-unknown-value-word-near = { $value } is none of { $known }; did you mean { $near }?
fault-not-found-rule = there is no rule { $key }
fault-not-found-rule-near = there is no rule { $key }; did you mean { $near }?
fault-malformed-partial-date = is not a date; write a day (2020-05-17), a month (2020-05) or a year (2020)
fault-malformed-line-break = is one line; leave out the line break (the character U+000A)
fault-malformed-line-end = contains the character U+000D; end lines with U+000A alone
fault-malformed-character = contains the character { $character }; leave it out

## Days

month-of-year = { $year }-{ $month }
day-of-month = { $day } { $month }
day-of-month-and-year = { $day } { $month } { $year }
month-name =
    { $month ->
        [1] January
        [2] February
        [3] March
        [4] April
        [5] May
        [6] June
        [7] July
        [8] August
        [9] September
        [10] October
        [11] November
       *[12] December
    }

## The clock of a device

device-clock-right = The clock of the device is right.
device-clock-ahead-moved = The clock of the device is { $minutes } min ahead; its times were moved by that.
device-clock-behind-moved = The clock of the device is { $minutes } min behind; its times were moved by that.
device-clock-ahead = The clock of the device is { $minutes } min ahead: set it right, and send with "shift_times": true if it was so when the times were taken.
device-clock-behind = The clock of the device is { $minutes } min behind: set it right, and send with "shift_times": true if it was so when the times were taken.
device-clock-ahead-at-least = The clock of the device is at least { $minutes } min ahead: set it right, and send its time in sent_at.

## What is kept when a buyer's data are erased

erasure-keeps-record = the number of the record and its days
erasure-keeps-record-why = Other records point to it.
erasure-keeps-placements = { $count } placements: pup, terms and days
erasure-keeps-placements-why = Where a pup went is part of its record, and its chip may ask for it; local law decides.
erasure-keeps-accounts = { $count } entries of accounts, without their notes
erasure-keeps-accounts-why = Accounts must add up, and tax law asks for them; local law decides.
erasure-keeps-news = { $count } pieces of health news, without the sender
erasure-keeps-news-why = They belong to the dogs and to the record of dam and sire.

## Files that are taken in: cells

fault-unreadable-cell = is the error { $error } of the spreadsheet
fault-unknown-value-sex = is not a sex; write F, M, female, male or nothing
fault-unknown-value-truth = is neither true nor false
fault-unknown-value-residence = is neither here nor elsewhere
fault-unknown-value-health-kind = is none of { $known }
fault-unknown-value-test-result = is none of { $known }
fault-malformed-number = is not a number; write it as 12.5
fault-malformed-whole-number = is not a whole number
fault-malformed-day = is not a day; write it as 2020-05-17
fault-malformed-time-of-day = is not a time of day; write it as 18:00
fault-malformed-date-order = is not a date in the order { $order } that date_order states
fault-malformed-year = has no year of four digits; write it as 2020-05-17
fault-malformed-chip = is not a chip number; write 9 to 15 digits or letters
fault-malformed-registration = needs a registry and a number of up to { $most } characters each, as "National stud book: SB 10/2231"
fault-malformed-adult-weight = is not a weight; write whole grams from { $least_g } to { $most_g }
fault-malformed-hour-left-out = is in the hour that the clocks leave out on that day
fault-unclear-thousand = may be a thousand or a decimal; write it without the comma
fault-unclear-date = may be { $first } or { $second }; say which by date_order=dmy or date_order=mdy
fault-unclear-dog = may be { $dogs }; write its registration, chip or id
fault-unclear-dog-and-more = may be { $dogs } and { $more } more; write its registration, chip or id
fault-not-found-dog-named = names no dog of the kennel; give its name, registration, chip or id
fault-not-together-units = stands beside another unit; give one
fault-only-together-time-and-day = stands without a day; give the day as well
fault-too-many-registrations = has { $count } entries; { $most } is the most

## Files that are taken in: columns

fault-unknown-field-mapped = is not a field; known are { $known }
fault-unknown-field-mapped-near = is not a field; known are { $known }; did you mean { $near }?
fault-unknown-field-column = unknown column { $column }; known are { $known }; map one of them to it in the query ({ $field }=NAME) or leave the column out (ignore=NAME)
fault-unknown-field-column-near = unknown column { $column }; is { $near } meant?; known are { $known }; map one of them to it in the query ({ $field }=NAME) or leave the column out (ignore=NAME)
fault-unknown-field-column-nameless = column { $number } has no name; known are { $known }; map one of them to it in the query ({ $field }=NAME) or leave the column out (ignore=NAME)
fault-not-found-column = the file has no column { $column }
fault-twice-column = { $field } is in { $times } columns; keep one, or leave one out (ignore=NAME)
fault-missing-column = there is no column { $columns }; the first line must name the columns, and another name can be mapped to it ({ $field }=NAME)
fault-unclear-separator = does not tell what separates its columns; say it by separator=comma, separator=semicolon or separator=tab
fault-too-many-columns = has { $count } columns where { $most } are the most; rows are parted by line ends

## Files that are taken in: rows

fault-empty-file = the file is empty; the first line names the columns, a row follows for each
fault-empty-rows = there is no row below the columns; give a row for each
fault-empty-dogs = there is no row below the columns; give a row for each dog
fault-too-many-rows = is one row too many; { $most } are the most, send several files
fault-too-few-fields = has { $count } fields where the first line has { $columns } columns; a value with a separator in it needs double quotes around it
fault-too-many-fields = has { $count } fields where the first line has { $columns } columns; a value with a separator in it needs double quotes around it
fault-too-long-line = has a line of more than { $most_bytes } bytes; rows are parted by line ends
fault-unreadable-row = cannot be read as a line of a table; save the file anew
fault-unreadable-nul = holds a NUL character; save the file as plain text in UTF-8
fault-unreadable-encoding = is not UTF-8 text; save the file in UTF-8
fault-missing-id = has no id; give each dog an id that no other dog of the file has
fault-missing-mark = has nothing to know the dog by; give a name, a chip or a registration

## Files that are taken in: workbooks

fault-unsupported-sheet = is for workbooks; a text has no sheets
fault-unsupported-old-workbook = is an old .xls file or locked by a password; save it as .xlsx without a password, or as CSV
fault-unreadable-workbook = is no .xlsx workbook, or a damaged one; save it as .xlsx or CSV
fault-unreadable-row-order = has rows out of order; save it anew
fault-unreadable-part = has a part that is not UTF-8; save it anew as .xlsx or CSV
fault-empty-workbook = has no sheet
fault-not-found-sheet = { $sheet } is no sheet of it; it has { $known }
fault-too-many-cells = has more than { $most } cells; send several files
fault-too-many-cells-of-row = has a cell beyond the { $most } columns that a row may have
fault-too-many-parts = is an archive of more than { $most } parts, no workbook
fault-too-many-texts = has more than { $most } texts; send several files
fault-too-long-row = has more than { $most_bytes } bytes
fault-too-long-workbook = is larger than { $most_mb } MB, the most of a workbook; send CSV
fault-too-long-workbook-unpacked = unpacks to more than { $most_mb } MB, the most of a workbook; send CSV

## Files that are taken in: dogs and their parents

dog-with-id = { $name } (id { $id })
dog-born-with-id = { $name } (born { $born }, id { $id })
dog-on-line = { $name } (line { $line })
dog-on-line-born = { $name } (line { $line }, born { $born })
dog-of-kennel = the kennel's dog { $id }
import-sire = sire { $name }
import-dam = dam { $name }
fault-twice-id = id { $id } is on line { $line } already
fault-twice-dog = the dog { $dog } is on line { $line } already
fault-twice-chip = chip_number { $chip_number } is on line { $line } already
fault-twice-dog-of-line = { $dog } is the dog of line { $line } too
fault-taken-chip = chip_number { $chip_number } belongs to another dog of the kennel ({ $holder })
fault-too-early-death = died_on { $died_on } is before the birth ({ $born })
fault-not-together-both-parents = { $dog } is both sire and dam; a dog has two parents
fault-wrong-sex-sire-on-line = sire { $dog } is female on line { $line }
fault-wrong-sex-dam-on-line = dam { $dog } is male on line { $line }
fault-wrong-sex-sire-is-dam = sire { $dog } is a dam on line { $line }
fault-wrong-sex-dam-is-sire = dam { $dog } is a sire on line { $line }
fault-wrong-sex-sire-in-kennel = sire { $dog } is female in the kennel
fault-wrong-sex-dam-in-kennel = dam { $dog } is male in the kennel
fault-wrong-sex-sire-in-file = sex female differs from the kennel's entry (male), which has offspring as that
fault-wrong-sex-dam-in-file = sex male differs from the kennel's entry (female), which has offspring as that
fault-own-ancestor-in-file = { $dogs } would be their own ancestors; correct a sire or dam among them
fault-own-ancestor-with-kennel = { $dogs } would be their own ancestors together with the kennel's dogs; correct a sire or dam among them
fault-too-young-sire-in-file = sire { $dog } was born { $born }, not in a year before its offspring ({ $offspring_born })
fault-too-young-dam-in-file = dam { $dog } was born { $born }, not in a year before its offspring ({ $offspring_born })
fault-too-young-sire = sire { $dog } was born { $born }, not before its offspring { $offspring } ({ $offspring_born })
fault-too-young-dam = dam { $dog } was born { $born }, not before its offspring { $offspring } ({ $offspring_born })

## Archives

archive-name-no-text = a name that is no text
fault-unreadable-archive = is not a ZIP file, or not a whole one; send the archive as it was written
fault-unreadable-archive-file = cannot be unpacked; the archive is damaged
fault-unreadable-archive-encoding = is not UTF-8 at line { $line }
fault-unreadable-archive-line = is not comma-separated text at line { $line }
fault-unreadable-manifest-unpacked = cannot be unpacked; the archive is damaged
fault-unreadable-manifest-json = is not JSON (line { $line }, column { $column })
fault-unreadable-manifest = is not as an archive's manifest is; the archive was changed or is damaged
fault-unknown-field-archive-file = is no file of an archive; take it out
fault-unknown-field-archive-column = has a column { $column } that this service does not know, or has it twice
fault-unknown-field-archive-column-near = has a column { $column } that this service does not know, or has it twice; did you mean { $near }?
fault-too-many-archive-files = has too many files, or two of one name
fault-too-many-archive-bytes = makes the archive larger than { $most_mb } MB unpacked
fault-too-long-archive-line = has a line that is longer than 1 MB
fault-missing-manifest = is missing; send the archive as it was written
fault-missing-archive-column = has no column "{ $column }"
fault-unsupported-archive-format = is of another format than { $format }
fault-unsupported-archive-version = is of a newer format; this service reads up to { $newest }
fault-not-found-archive-file = tells of { $file }, which is not in the archive, or tells of it twice
fault-unknown-field-archive-file-untold = is not told of in manifest.json
fault-differs-archive-rows = has { $rows } rows, and manifest.json says { $told }
fault-differs-archive-sum = is not the file that manifest.json has the checksum of; it was changed or damaged
fault-differs-archive-columns = has other columns than manifest.json says
fault-differs-archive-cells = has { $count } cells in line { $line }; each line has { $expected }
fault-not-an-id-of-row = is not an id; give the UUID of the row
fault-malformed-archive-day = is not a day; write it as 2026-05-17
fault-malformed-archive-time = is not a time; write it as 2026-05-17T04:10:00.000000Z
fault-malformed-archive-number = is not a number
fault-malformed-archive-json = is not JSON (column { $column })
fault-out-of-range-whole-number = is not a whole number in range
fault-out-of-range-version = is less than { $least }

## Breeding: lists

## Breeding: faults that recur

## Breeding: limits

## Breeding: law

## Breeding: microchips

## Breeding: pedigree and breeds

## Breeding: genetic markers

## Breeding: coat colour

## Breeding: traits that are seen

## Breeding: mating plans

## Breeding: the kennel's calendar

## Breeding: placing pups

## Growth and feeding

growth-signed = { $sign ->
    [minus] { $figure }
    *[plus] +{ $figure }
    }
fault-elsewhere-no-pup-of-litter = is not a pup of this litter
fault-out-of-range-weight-above-zero = must be more than 0; give the weight in grams
fault-in-future-weighing = is in the future (now it is { $now }); check the clock of the device
fault-too-early-before-pup-born = is before the pup was born ({ $born_at }); correct one of the two
fault-too-late-pup-gone = is after the pup died or left the litter
growth-weight-far = { $weight_g } g is far from the { $low_g } to { $high_g } g expected. Correct it, or confirm it as weighed.
growth-weight-far-meant = { $weight_g } g is far from the { $low_g } to { $high_g } g expected. Was { $meant_g } g meant ({ $how })? Correct it, or confirm it as weighed.
growth-weight-far-above-dam = { $weight_g } g is far from the { $low_g } to { $high_g } g expected. It is more than its dam weighs. Correct it, or confirm it as weighed.
growth-weight-far-above-dam-meant = { $weight_g } g is far from the { $low_g } to { $high_g } g expected. It is more than its dam weighs. Was { $meant_g } g meant ({ $how })? Correct it, or confirm it as weighed.
fault-unlikely-weighed = { $what } To keep it as it is, send it with "confirmed": true.
growth-meant-kilograms = written in kilograms
growth-meant-ounces = written in ounces
growth-meant-pounds = written in pounds
growth-meant-point = the point in the wrong place
growth-meant-exchanged = two digits exchanged
growth-meant-digit-too-many = a digit too many
growth-meant-digit-missing = a digit missing
growth-meant-digit-wrong = one digit wrong
growth-meant-other-pup = the weight of { $pup }
called-litter = Litter
called-litter-of = Litter of { $dam }
called-collar = { $collar } collar
called-pup-number = pup { $number }
called-without-name = without a name
called-the-dam = the dam
growth-lacks-birth-weight = the weight at birth
growth-lacks-breed = the breed, for thresholds of birth weight
growth-lacks-any-weight = any weight
growth-lacks-weight-of-pup = any weight of this pup: the forecast is the litter's
growth-lacks-adult-weight-dam = the adult weight of the breed or parents: the dam's weight stands in
growth-lacks-adult-weight = the adult weight of breed, parents or dam: no forecast after week 4
growth-swap-on-weights = { $pup } and { $other } seem exchanged on { $day }: weigh both again or exchange the two weights.
growth-swap-from-weights = { $pup } and { $other } seem exchanged from { $first } to { $last }: weigh both again or exchange the two weights.
growth-swap-on-collars = { $pup } and { $other } seem exchanged on { $day }: look at the collars, they may have been exchanged.
growth-swap-from-collars = { $pup } and { $other } seem exchanged from { $first } to { $last }: look at the collars, they may have been exchanged.
growth-risk-gain = gains { $gain_percent } % a day where { $expected_percent } % was expected of it
growth-risk-at-birth = { $died_percent } % of pups of such birth weight died
fault-out-of-range-dam-weight-g = must be the weight of a dam in grams, { $least } to { $most }
fault-out-of-range-pregnancy-day = must be a day of pregnancy, { $least } to { $most }
fault-out-of-range-days-since-whelping = must be days since whelping, { $least } to { $most }
fault-out-of-range-pups-nursing = must be { $least } to { $most }
fault-out-of-range-growing-weight-g = must be in grams, { $least } to { $most }
fault-out-of-range-adult-weight-g = must be the adult weight expected in grams, { $least } to { $most }
fault-out-of-range-pup-weight-g = must be the weight of a pup in grams, { $least } to { $most }
fault-out-of-range-share-by-hand = must be from 0 (nurses alone) to 1 (orphan)
fault-out-of-range-replacer = must be { $least } to { $most } kcal per ml as mixed; read the label
fault-out-of-range-pup-temperature-c = must be in degrees Celsius, { $least } to { $most }
fault-in-future-pup-born = is in the future
feeding-times-resting = { $low } to { $high } times resting energy
feeding-times-resting-middle = the middle of { $low } to { $high } times resting energy
feeding-times-resting-peak = at the peak (weeks 3 and 4) { $times } times resting energy and { $per_pup_percent } % of that for each pup
feeding-formula-gestation = { $base } x { $kg }^0.75 + { $per_kg } x { $kg }
feeding-formula-lactation = { $base } x { $kg }^0.75 + { $kg } x ({ $per_first } x { $first } + { $per_more } x { $more }) x { $factor }
feeding-times-maintenance = { $times } times maintenance of { $maintenance } kg^0.75
feeding-kg-power = { $factor } kg^0.75
feeding-by-condition = Go by her condition: the need differs from dam to dam.
feeding-equation-ends = The equation ends with week 4: this is the most she needs; give less as the pups eat for themselves.
feeding-beyond-eight = Pups beyond eight add nothing in the equation: feed by her condition.
feeding-milk-alone = Milk alone.
feeding-soft-food = Offer soft food beside the milk and more of it week by week; fresh water always.
feeding-finish-weaning = Finish weaning: solid food in several meals a day.
feeding-figures-differ = Published figures differ: go by the pup's condition and growth curve within them.
feeding-large-breed = A large breed: begin with the lower figure; too much energy harms growing bones and joints.
feeding-toy-breed = A toy breed: small meals often, for sugar runs low between them; if it is limp, trembles or staggers, call the vet now.
feeding-stomach = Even with the most feeds a day its stomach cannot hold what it needs: ask the vet for a richer replacer.
feeding-stomach-why = { $volume_ml } ml a day, at most { $limit_ml } ml a feed.
rearing-step-warm = Feel whether it is warm, and take its temperature if in doubt: below { $limit_c } °C it gets nothing until it is warmed.
rearing-step-clean = Wash your hands; bottles and teats are clean and boiled.
rearing-step-milk = Warm the milk to the heat of your skin, and try a drop on your wrist.
rearing-step-hold = Hold it on its belly with its head level, never on its back, and let it suck by itself.
rearing-step-stop = Stop when its belly is round and firm, and at once when milk comes from its nose or it coughs.
rearing-step-toilet = Stroke its belly and under its tail with a moist, warm cloth until it has passed water and stool.
rearing-step-write = Write down what it took, and weigh it once a day at the same hour.
rearing-aspiration = Milk in the lungs kills: never press milk into a pup, and feed by a tube only as a vet has shown you.
rearing-aspiration-why = If milk comes from its nose, or it coughs or breathes hard after a feed, stop, hold its head low and call the vet now.
rearing-cold = Warm it first: it cannot digest below { $limit_c } °C.
rearing-cold-why = Nothing says how warm it is now; published limits stand beside one another among the figures.
rearing-replacer = Take a milk replacer for pups, mix it as its label says, and give less than the full amount in the first days.
rearing-replacer-why = Too much at once gives diarrhoea; milk of cows or goats is not like that of a dam. A dam that takes it is better than any bottle: ask the vet for one.
fault-not-now-not-nursed = names a dog that was not born here, is not here, or is weaned; there is a plan for pups that still need milk
feeding-lacks-replacer = the energy of the replacer, from its label
feeding-lacks-temperature = its temperature: a cold pup must not be fed
feeding-lacks-adult-weight = the weight it will have grown up: toy pups are fed more often
feeding-energies = Published figures of its need are far apart. Begin with the lower and weigh it twice a day: if it does not gain from the second day on, give more, up to the higher figure, and ask the vet.
feeding-energies-why = { $begin_kcal } kcal a day by an owners' handbook, { $nrc_kcal } by NRC 2006: { $more_kcal } kcal or { $more_percent } % more.
feeding-low-sugar = Toy, tiny and weak pups run low on sugar between feeds: if it is limp, trembles or cries without end, warm it and call the vet now.
feeding-low-sugar-why = Fed at least every { $hours } hours.
feeding-too-cold = Do not feed: it is too cold to digest. Warm it slowly, call the vet, and feed once it is warm.
feeding-too-cold-why = { $temperature_c } degrees, limit { $limit_c }.
feeding-first-milk = See that it gets first milk from its dam (or ask the vet how else): replacer does not protect it.
feeding-first-milk-why = { $hours } hours old; first milk counts in the first { $limit_hours }.
feeding-begin-low = Begin with less than the full amount and raise it over the first days, to spare it diarrhoea.
feeding-begin-low-why = Fed by hand for less than { $days } days.
feeding-solids = It can begin with solid food: count what it eats against the milk.
feeding-solids-why = { $age_days } days old; solid food from about day { $from_day }.
feeding-late = A feed is late: feed it now, one feed's amount and not more.
feeding-late-why = Due { $late_minutes } minutes ago.
feeding-little = It took too little in the last day: weigh it, take its temperature and call the vet.
feeding-little-why = { $taken_ml } ml of { $planned_ml } ml planned.

## Dating, pregnancy and heats

pregnancy-moment = { $day } { $time }
dating-from-lh-surge = the LH surge
dating-from-progesterone-rise = the first progesterone rise
dating-from-ovulation = ovulation
dating-from-dioestrus = the first day of dioestrus
dating-from-ultrasound = the due day by ultrasound
dating-from-forecast = the due day foretold by the vet
dating-from-first-mating = the first mating
dating-from-window = the end of the due window
dating-overdue-emergency = She is overdue: call the vet now.
dating-overdue-act = She is overdue: ring the vet today and have dam and pups checked.
dating-grounds-more = { $begin }; { $end }
dating-grounds = { $grounds }.
dating-ground-window = the window of all evidence ended on { $day }
dating-ground-after-due = { $days } days after { $from } ({ $day }): ring from { $ring_days }, call from { $call_days } days
dating-ground-call = day { $days } from { $from }: ring from day { $ring_days }, call from day { $call_days }
dating-ground-ring = day { $days } from { $from }: ring from day { $ring_days }
dating-conflict = { $one } points to { $day }, { $other } to { $other_day }: check both dates, and whether they belong to the same pregnancy
dating-one-mating = one mating on { $day }: { $least_days } to { $most_days } days to whelping
dating-matings = { $count } matings from { $first } to { $last }: { $least_days } to { $most_days } days to whelping
dating-days-from = { $days } days from { $from }
dating-temperature-fell = temperature fell on { $at }; whelping usually 13 to 33 hours later
dating-foretold = foretold for { $day }
dating-scan-icc = inner chorionic cavity { $mean_mm } mm: { $before_days } days before whelping
dating-scan-bp = biparietal diameter { $mean_mm } mm: { $before_days } days before whelping
dating-progesterone-24 = progesterone { $ng_per_ml } ng/mL: most dams with two pups or more reach dilatation of the cervix within 24 hours
dating-progesterone-48 = progesterone { $ng_per_ml } ng/mL: most dams with two pups or more reach dilatation of the cervix within 48 hours
dating-progesterone-falling = progesterone { $ng_per_ml } ng/mL: falling, but no chance is published for it
dating-progesterone-high = progesterone { $ng_per_ml } ng/mL: dilatation of the cervix within 12 hours is unlikely, not excluded
dating-breed-mean = mean length of pregnancy of the { $breed }
dating-small-litter = small litter expected ({ $small_percent } % small)
dating-larger-litter = larger litter expected ({ $small_percent } % small)
dating-the-mating = the mating
dating-the-lh-surge = the LH surge
dating-the-progesterone-rise = the progesterone rise
dating-the-ovulation = the ovulation
dating-the-dioestrus = the first day of dioestrus
dating-the-scan = the scan
dating-the-radiograph = the radiograph
dating-the-forecast = the forecast
dating-the-sample = the sample
dating-the-temperature-fall = the temperature fall
fault-empty-evidence = is empty; give at least a mating date or one other observation
fault-out-of-range-small-litter-chance = must be from { $least } to { $most }
fault-differs-pregnancies = points to days from { $first } to { $last }: that is more than one pregnancy
fault-in-future-evidence = { $what } is after today ({ $today })
fault-too-late-evidence-whelping = { $what } is after whelping ({ $whelped_on })
fault-too-early-evidence-heat = { $what } is before the heat, which began on { $began_on }
fault-too-late-evidence-heat = { $what } is more than { $most_days } days after the heat began ({ $began_on })
fault-out-of-range-sd-days = must be from { $least } to { $most } days
fault-out-of-range-forecast-sd-days = must be above { $above } and at most { $most } days
fault-too-early-due-before-told = is before the day it was told ({ $told_on })
fault-out-of-range-progesterone-near-term = must be from { $least } to { $most } ng/mL
fault-empty-measures = is empty; give at least one measure in mm
fault-out-of-range-measure-above-zero = must be above 0 mm
fault-out-of-range-measure-beyond-formula = is beyond the formula, which reaches whelping at { $whelping_mm } mm; is it in mm, and is the dam's adult weight right?
fault-unknowable-due-day = no day of whelping from { $today } on agrees with it; record the whelping or that there was no litter
dating-evidence-disagrees = Two pieces of evidence disagree: check the dates; an ultrasound measure can decide.
dating-only-matings = Only matings are known, so the window is wide: progesterone tests in the heat or an ultrasound measure narrow it.
dating-only-matings-why = Pregnancies last { $least_days } to { $most_days } days from the first mating.
dating-green-discharge = Green or black discharge before the first pup: call the vet now.
dating-green-discharge-why = A placenta may have come loose while no pup is born.
dating-heavy-bleeding = Heavy bleeding: call the vet now.
dating-help-at-once = It is among the signs that need help at once.
dating-collapse = Collapse or severe pain: call the vet now.
dating-unwell = The dam is unwell: call the vet today.
dating-unwell-why = A dam near term should be bright, if restless.
dating-early-scan = An early scan dates poorly: have it repeated.
dating-early-scan-why = The scan of { $day } was on day { $pregnancy_day } of pregnancy; measures start about day { $from_day }.
dating-no-fall = No fall of the temperature by the last day of the window: ask the vet. Many dams show none, so that it proves nothing either way.
dating-no-fall-why = The window ends on { $day }; a fall was measured in about { $share_percent } % of dams.
dating-progesterone-low = Progesterone fell days ago and no pup is born: call the vet today.
dating-progesterone-low-why = { $ng_per_ml } ng/mL on { $day } at { $time }, { $waited_hours } hours ago; labour is expected within { $limit_hours }.
pregnancy-pups-unknowable = Pups cannot be foretold: { $fault }
pregnancy-lost = She lost this pregnancy: have your veterinarian look for the cause before she is mated again, and tell whoever owns the sire. Wear gloves for what she passes: brucellosis goes over to people.
pregnancy-lost-why = Found on { $day }.
pregnancy-lost-why-aborted = Aborted, by what was found on { $day }.
pregnancy-lost-why-resorbed = Resorbed, by what was found on { $day }.
pregnancy-is-lost = the pregnancy was lost
fault-only-together-heartbeats = is seen by ultrasound alone
fault-only-together-lost-how = is of a pregnancy that was lost: give it with the result lost
pregnancy-seen-empty = The last pregnancy check saw no pup: have it repeated, or take the litter off the list.
pregnancy-seen-empty-why-palpation = Checked on { $day } by palpation.
pregnancy-seen-empty-why-ultrasound = Checked on { $day } by ultrasound.
pregnancy-seen-empty-why-xray = Checked on { $day } by xray.
pregnancy-seen-empty-why-hormone = Checked on { $day } by hormone.
pregnancy-litter-born = The litter is born; `born` counts its pups.
pregnancy-no-count = No count yet: a radiograph in the last week of pregnancy counts best.
pregnancy-no-readings = No readings near the due window: take her temperature twice a day from a week before it.
pregnancy-nothing-dates = Nothing dates this litter: record its mating with the ties (and name it in mating_id), or progesterone tests of the heat.
pregnancy-evidence-fault = The evidence { $fault }.
pregnancy-long-past = Every due day has long passed: record the whelping, or that there was no litter. If she still carries pups, call the vet now.
pregnancy-long-past-why = The window of all evidence ended on { $day }.
pregnancy-mating-of = mating of { $day }
pregnancy-lh-surge-of = LH surge of { $day }
pregnancy-progesterone-rise-of = progesterone rise of { $day }
pregnancy-ovulation-of = ovulation of { $day }
pregnancy-dioestrus-of = first day of dioestrus of { $day }
pregnancy-ultrasound-of = ultrasound measure of { $day }
pregnancy-radiograph-of = radiograph of { $day }
pregnancy-forecast-of = forecast of { $day }
pregnancy-progesterone-near-term-of = progesterone near term of { $day }
pregnancy-temperature-fall-of = fall of the temperature of { $day }
pregnancy-reading-progesterone-of = progesterone of { $at }
pregnancy-reading-lh-of = lh of { $at }
pregnancy-reading-cytology-of = cytology of { $at }
pregnancy-reading-sign-of = sign of { $at }
pregnancy-reading-of = reading of { $at }
pregnancy-reading-fell = fell after oestrus: name the first_day_of_dioestrus
pregnancy-reading-sign-unknown = dates nothing; known signs are bleeding, swelling, flagging, standing, refusing, ovulation
pregnancy-reading-lh-finding = needs the finding surge or no_surge
pregnancy-reading-cytology-finding = needs the finding anoestrus, proestrus, oestrus, dioestrus or first_day_of_dioestrus
pregnancy-reading-no-value = has no value
cycle-basis-crossing = progesterone reached { $level_ng_per_ml } ng/mL between two samples
cycle-basis-extrapolated = progesterone { $ng_per_ml } ng/mL and its usual rise
cycle-basis-lh-test = LH test positive
cycle-basis-surge = LH surge and the time from surge to ovulation
cycle-basis-dioestrus = first day of dioestrus
cycle-basis-back = counted back from ovulation
cycle-cervix-closes = The cervix closes from { $from } to { $to }: later matings take less often.
cycle-test-first = first progesterone test of the heat
cycle-test-before-surge = { $ng_per_ml } ng/mL: still before the LH surge
cycle-test-near-surge = { $ng_per_ml } ng/mL: near the LH surge
cycle-test-before-ovulation = { $ng_per_ml } ng/mL: between LH surge and ovulation
cycle-test-one-sample = { $ng_per_ml } ng/mL: one sample alone: see that it rises on
cycle-split-heat = Progesterone rose and fell again: ask the vet whether this is a split heat or a laboratory difference, and go on testing.
cycle-split-heat-why = A sample above the level of the LH surge is followed by one below it.
cycle-ovulated-before = Ovulation was before the first sample, so it cannot be dated: the first day of dioestrus by cytology still can.
cycle-ovulated-before-why = The first sample was { $ng_per_ml } ng/mL already.
cycle-stands-low = She stands, but progesterone is still low: behaviour alone can mislead, test again.
cycle-stands-low-why = Standing was seen while the last sample was before the LH surge.
cycle-interval-short = { $days } days from { $from } to { $to } left out: a split heat?
cycle-interval-long = { $days } days from { $from } to { $to } left out: a heat not recorded?
cycle-nothing-known = neither a heat nor a birth date is known
cycle-long-overdue = the next heat is long overdue: record the heat, or that she has none
fault-in-future-heat = is after today ({ $today })
fault-too-early-heat-before-birth = is before the dam was born
fault-too-early-reading = is before the heat, which began on { $began_on }
fault-too-late-reading = is more than { $most_days } days after the heat began ({ $began_on }): another heat?
fault-out-of-range-progesterone = must be from { $least } to { $most } ng/mL ({ $most_nmol } nmol/L); this is { $ng_per_ml } ng/mL

## Slips of the hand

fault-unlikely-feed = is { $volume_ml } ml; the stomach of a pup of { $weight_g } g holds about { $holds_ml } ml. Is it in ml, for one feed, and of this pup? To keep it as it is, send it with "confirmed": true.
fault-unlikely-progesterone = is { $ng_per_ml } ng/mL; in dams it stays below about { $most_ng_per_ml } ng/mL. To keep it as it is, send it with "confirmed": true.
fault-unlikely-progesterone-nmol = is { $ng_per_ml } ng/mL; in dams it stays below about { $most_ng_per_ml } ng/mL. Is it in nmol_per_l? To keep it as it is, send it with "confirmed": true.
fault-unlikely-progesterone-fall = is { $ng_per_ml } ng/mL after { $before_ng_per_ml } ng/mL on { $before_on }: after its rise it does not fall before whelping comes near. Are value, unit and dam right? If they are, ask your veterinarian. To keep it as it is, send it with "confirmed": true.
fault-unlikely-heat = is { $days } days from her heat of { $near_on }; heats lie months apart. Is it the same heat, or a split one? To keep it as it is, send it with "confirmed": true.
fault-unlikely-whelped-on = is not the day of the first birth ({ $first_birth_on }); correct one of the two. To keep it as it is, send it with "confirmed": true.
fault-unlikely-birth-day = is { $days } days from the litter's whelping ({ $whelped_on }); is it this litter, and this day? To keep it as it is, send it with "confirmed": true.
fault-unlikely-expired = is before the day it was given ({ $given_on } after { $expires_on }): the product was past its expiry. To keep it as it is, send it with "confirmed": true.
fault-unlikely-paper = is none of the papers that the readiness rules here ask for ({ $known }). To keep it as it is, send it with "confirmed": true.
fault-twice-named = names what { $place } names already; name it once
fault-twice-time = is the time of an entry before it; write each once

## Litters

litter-expired = The product was past its expiry when it was given, so the dose is not counted: ask your veterinarian whether and when to repeat it.
litter-expired-why = Given on { $given_on }, expired on { $expires_on }.
litter-expired-not-counted = what was given on { $given_on } had expired on { $expired_on }
litter-home-died = { $pup } has died: it goes to no home.
litter-home-died-why = It died on { $day }.
litter-home-born-dead = It was born dead.
litter-home-born-dead-why = Its birth says so.
litter-home-gone = { $pup } has gone to its home already.
litter-home-lives-elsewhere = Its record says that it lives elsewhere.
litter-home-handed-over = It was handed over on { $day }.
litter-home-unseen = Nothing can be said of it.
litter-home-unseen-why = Its record is not open to you.

## Health plans

schedule-lacks-birth = the day of birth
schedule-lacks-mating = the day of the mating
schedule-lacks-whelping = the day of whelping
schedule-lacks-weaning = the day of weaning
schedule-lacks-step = the day of the step { $step }
schedule-lacks-last-dose = the day of the last dose
schedule-lacks-before-record = what was given before { $from }, when its record here begins
schedule-lacks-dose-before = the dose before that of { $day }, which is recorded for a later step
schedule-too-early = { $step }: the dose of { $given_on } was too early and is not counted; ask your veterinarian when to repeat it (by this plan not before { $earliest_on }).
schedule-too-early-why = Given on { $given_on }; it counts from { $from } on.
schedule-too-close-why = Given on { $given_on }, { $days } days after the one before ({ $before }); at least { $least_days } days must lie between.
birth-risk-why-times = { $times ->
    [one] Once, by what is on record.
   *[other] { $times } times, by what is on record.
}
birth-risk-why-stillborn = { $pups ->
    [one] One pup, by what is on record.
   *[other] { $pups } pups, by what is on record.
}
birth-risk-why-counted = Counted for sure: { $pups }.
birth-risk-why-low-calcium = { $pups } pups counted, { $kg } kg grown up.
birth-risk-why-breed = { $breed } is among the breeds with the most caesareans or hard births.
birth-risk-why-breed-share = { $breed }: some { $percent } % of litters came by caesarean.
birth-risk-why-weight = { $kg } kg grown up.
birth-risk-why-overweight = { $mated_kg } kg when she was mated, { $adult_kg } kg grown up.
birth-risk-why-age = { $years } years old at the birth.
birth-risk-why-first = No litter of hers is on record.
birth-risk-lacks-breed = her breed
birth-risk-lacks-adult-weight = her weight grown up
birth-risk-lacks-mated-weight = her weight when she was mated
birth-risk-lacks-age = when she was born
birth-risk-lacks-history = how she whelped before she came here: enter it as illnesses of the series caesarean, dystocia, eclampsia or pregnancy-loss
birth-risk-lacks-count = a count of the pups
womb-look-for = Weeks after a heat a womb may fill with pus, with discharge or without: look for discharge, thirst, little appetite, dullness, fever, vomiting and a swollen belly.
womb-infected-today = Her womb may be infected: have her looked at by a veterinarian today, also without discharge.
womb-infected-now = Her womb may be infected and she is ill: call a veterinarian now.
womb-infected-why = Signs since { $since }, { $weeks } weeks after the heat began.
task-womb-watch = { $dam }: look for signs of an infected womb
task-womb-watch-head = Look for signs of an infected womb
mating-test-brucellosis = { $dog } was positive for brucellosis: no mating, keep it apart, wear gloves, and call your veterinarian; in some countries it is notifiable.
mating-test-positive = { $dog }: the test found what it looked for ({ $test }): talk it over with your veterinarian and the breed club before a mating.
mating-test-why-breed = The breed's club asks for it.
mating-test-why-breed-advises = The breed's club advises it.
mating-test-why-kennel = Your kennel asks for it.
mating-test-positive-why = { $test }, tested on { $on }.
fault-missing-dam-or-sire = must be given, or sire_id, or both
schedule-live-close = The live vaccine of { $given_on } followed one of another kind within days: ask your veterinarian whether it has to be given again. Two live vaccines are given on one day, or at least { $least_days } days apart.
schedule-live-close-why = Given on { $given_on }, { $days } days after the one before ({ $before }).
schedule-test-shows-none = the test of { $tested_on } did not show that it is protected
regional-rabies = rabies by law
regional-rabies-not-looked-for = Nothing was looked for: ask your veterinarian what the law says about rabies.
fault-only-together-result = is of a test or an examination alone
fault-twice-series = is named already; name each series once
fault-out-of-range-series-length = must have from { $least } to { $most } characters
fault-only-together-protective = is of a test of antibodies: give it with kind test and the series that they protect from
fault-only-together-antibody-test = is of vaccinations alone
fault-empty-batch = must name a batch by a letter or a digit
fault-twice-step-key = { $key } is used by an earlier step; give each step its own key
fault-not-found-step-before = { $step } is not a step before this one; name one that is
fault-wrong-kind-anchor-of-litter = a grown dog has no litter of its own to count from; take birth, step or last_dose
fault-wrong-kind-anchor-last-dose = last_dose is for plans of grown dogs; anchor the step on an earlier one
fault-only-together-last-dose-repeat = must be {"{}"} for a step counted from the last dose: it is repeated for life
fault-out-of-range-plan-days = must be from { $least_days } to { $most_days } days
fault-too-early-ideal-days = must not be before earliest_days ({ $earliest_days })
fault-out-of-range-latest-days = must be from ideal_days ({ $ideal_days }) to { $most_days }
fault-out-of-range-spacing-days = must be at most { $most_days } days
fault-only-together-repeat-interval = needs an anchor on an earlier step or the last dose, and ideal_days of at least 1: they are the interval
fault-empty-plan-text = must be a text of { $least } to { $most } characters
fault-too-long-plan-text = must be a text of { $least } to { $most } characters

## Weights in other units

fault-not-together-weight-units = stands beside another unit; give one (lb and oz go together)
fault-wrong-type-number = must be a number
fault-out-of-range-stated-weight = makes { $weight_g } g; it must be { $least_g } to { $most_g } g

## Tasks

## Preparation and shopping

## Readiness to go home

## Reports

## Booklet

## What recurs: advice, times, spans, amounts

## Faults of what is written down of dam and pups

## The night of whelping

## Before the birth

## The sheet by the whelping box

## The dam after whelping

## The newborn

## Weights that call

## Before a pup goes home

## How many pups to expect

## Why a coefficient is a lower bound

## Records: what is wrong with a value

## Days

## The clock of a device

## What is kept when a buyer's data are erased

## Files that are taken in: cells

## Files that are taken in: columns

## Files that are taken in: rows

## Files that are taken in: workbooks

## Files that are taken in: dogs and their parents

## Archives

## Breeding: lists

## Breeding: faults that recur

## Breeding: limits

## Breeding: law

## Breeding: microchips

## Breeding: pedigree and breeds

## Breeding: genetic markers

## Breeding: coat colour

## Breeding: traits that are seen

## Breeding: mating plans

## Breeding: the kennel's calendar

## Breeding: placing pups

## Problems: titles

problem-title-unreadable = The request cannot be read
problem-title-not-logged-in = No good login
problem-title-second-factor = A second factor is needed
problem-title-forbidden = Your role does not allow this
problem-title-not-found = Not there, or not yours
problem-title-wrong-method = This path does not take this method
problem-title-conflict = Taken already, or in use
problem-title-stale = Changed by somebody else in the meantime
problem-title-too-large = The body is too large
problem-title-wrong-media-type = The body is of another media type
problem-title-not-acceptable-values = Readable, but not acceptable
problem-title-missing-precondition = Say which version you have seen
problem-title-too-many-requests = Too many requests
problem-title-fault = A fault of the service
problem-title-too-slow = The request took too long
problem-title-unavailable = The database is away
problem-title-busy = Others are being served
problem-title-full = There is no room left to write

## Problems: what is wrong this time

problem-values = { $count ->
    [one] One value is not acceptable; see errors.
   *[other] { $count } values are not acceptable; see errors.
}
problem-more-values = More than { $most } values are not acceptable; { $most } are in errors.
problem-not-found = There is nothing at this address, or you may not see it.
problem-no-such-path = There is no such address; the document at /openapi.json tells which there are.
problem-no-kind-of-file = There is no such kind of file; take { $known }.
problem-wrong-method = This path takes { $methods }.
problem-too-slow = It did not arrive, or was not done, in time; nothing was written. Send less at once.
problem-stale = Read it again, look at what changed, and repeat with the new ETag.
problem-nothing-written = Nothing was written.
problem-fault-logged = Nothing was written. It is in the log as { $id }.
problem-later-seconds = Try again in a few seconds.
problem-later-room = Keep it and try again in some minutes; whoever runs the service must make room.
problem-later-computing = Too much is being computed; try again in a few seconds.
problem-later-large = Others are sending large bodies; try again in a few seconds.
problem-query = The query cannot be read.
problem-json = The body is not JSON: it cannot be read from line { $line }, column { $column } on.
problem-json-ends = The body is not JSON: it ends too early, at line { $line }, column { $column }.
problem-too-deep = The body nests more than { $most } lists or objects.
problem-too-many-parts = Send less at once; here a body may have { $most } values.
problem-too-large-mb = Send less at once; here a body may have { $most_mb } MB.
problem-too-large-kb = Send less at once; here a body may have { $most_kb } KB.
problem-media-type = Send the body with Content-Type: { $wanted }.
problem-not-whole-ended = The body did not arrive whole: it ended before its length.
problem-not-whole-chunks = The body did not arrive whole: its chunks cannot be read.
problem-not-whole-connection = The body did not arrive whole: the connection failed.
problem-packing-of-file = Send the file as it is, or once compressed by gzip.
problem-packing = Send the body as it is, without Content-Encoding.
problem-unpacking = The body cannot be unpacked; it is damaged, or compressed otherwise.
problem-too-many-tries = Too many tries; wait { $seconds } seconds.
problem-streams-of-person = You follow changes in { $most } streams already; close one, or ask for changes from time to time (?after=).
problem-streams-of-kennel = This kennel is followed in { $most } streams already; close one, or ask for changes from time to time (?after=).
problem-streams-in-all = This service streams to as many as it can; ask for changes from time to time (?after=).

## Problems: logins

problem-login-needed = Log in at /v1/auth/login and send Authorization: Bearer ACCESS_TOKEN.
problem-login-token-not-good = The access token is not good, or has expired; refresh it or log in again.
problem-login-token-dead = The access token is unknown, expired or withdrawn.
problem-login-session-ended = This session was ended; log in again.
problem-login-no-session = There is no session here; log in.
problem-login-changed-meanwhile = The password or a session was changed meanwhile; log in again.
problem-login-refresh-unknown = The refresh token is unknown or ended; log in again.
problem-login-invitation = The invitation is unknown, used or expired; ask for another.
problem-login-does-not-fit = The email address and the password do not fit.
problem-second-factor-needed = The password fits; send it again with the code of your second factor.
problem-second-factor-not-good = The code is not, or no longer, good.

## Problems: what a role does not allow

problem-forbidden-dogs = A member of the kennel may see this.
problem-forbidden-observations = A viewer only reads; ask an owner for the role of helper.
problem-forbidden-breeding = An owner, or a co-owner of the dog, may do this.
problem-forbidden-placing = An owner, or a co-owner of the pup, may place pups.
problem-forbidden-money = An owner, or a co-owner of the pup, may see money.
problem-forbidden-managing = Only an owner may do this.
problem-forbidden-area = The access token does not open this area, or its person's role does not.
problem-forbidden-token = An access token may not do this; log in as a person.
problem-forbidden-token-reads = This access token only reads.
problem-forbidden-person-logged-in = Only a person who is logged in may do this.
problem-forbidden-all-areas = This takes in everything that the kennel has, and the access token does not open all areas; log in as an owner, or take a token without areas.
problem-forbidden-new-dog = Only an owner enters a new dog; pups enter by their birth.
problem-forbidden-helpers-day = A helper takes a birth back for { $hours } hours; an owner, or a co-owner of the pup, may delete it.
problem-forbidden-kennels-costs = Name the litter that the money was for; the kennel's own costs are its owners'.
problem-forbidden-statement = You read your own statement; those of others are read by the owners.
problem-forbidden-kennels-task = A task of the whole kennel is an owner's; name the dog or the litter that it is about.
problem-forbidden-absences = Only an owner enters other people's absences.
problem-forbidden-whole-kennel = This belongs to the whole kennel; ask an owner to change it.
problem-forbidden-other-address = The invitation is for another email address; log in with that one.
problem-forbidden-sign-up-closed = Sign-up is closed here; give the secret of an invitation, or ask the person who runs this service.
problem-forbidden-own-pages-header = This is for the service's own pages; send { $header }: 1.
problem-forbidden-other-page = This is for the service's own pages; another site's page has asked.

## Problems: taken already, or in use

problem-conflict-in-use = Is in use by { $by }; remove or change what refers to it first.
problem-conflict-moment = Somebody else wrote it at the same moment; read it again.
problem-conflict-email = A person with this email address exists already.
problem-conflict-kennel-here = This kennel is in this database already; take the archive in as a copy (?copy=true).
problem-conflict-member = This person is a member already.
problem-conflict-last-owner = A kennel keeps at least one owner; make somebody else owner first.
problem-conflict-sole-owner = You are the only owner of { $kennels }: make somebody else owner there, or delete the kennel, first.
problem-conflict-kennel-goes-on = This kennel is not set to end: there is nothing to take back.
problem-conflict-rule = This rule has a value of the kennel's own already; change that one.
problem-conflict-webhooks = This kennel has 20 webhooks, which is the most; delete one first.
problem-conflict-chip = Another dog has this chip_number.
problem-conflict-imported-id = Another dog has this imported_id.
problem-conflict-share = This person has a share in this dog already; change that one.
problem-conflict-former-share = This person holds a share in this dog on some of these days already; change that one.
problem-conflict-report-decided = This report was decided already.
problem-conflict-reports-wait = Ten reports about this dog wait for the kennel already. Tell more once it has read them, or take one back.
problem-conflict-marker = This dog has a result of this marker already; change that one.
problem-conflict-breed-test = The kennel asks for this test of this breed already; change that row.
problem-conflict-free-test = This dog has a result of this name already; change that one.
problem-conflict-heat = This dam has a heat that began on that day already.
problem-conflict-litter-of-mating = This mating has a litter already.
problem-conflict-plan-key = A health plan has this key already; change that one.
problem-conflict-plan-moment = Somebody else changed this plan at the same moment; try again.
problem-conflict-litter-plan = The litter follows this plan already.
problem-conflict-paper = This paper of the pup is recorded already; change that.
problem-conflict-follow-up = This follow-up is done already.
problem-conflict-pup-placed = This pup is reserved or handed over already.
problem-conflict-ordinal = This ordinal is taken in the litter.
problem-conflict-dog-id = A dog has this id already.
problem-conflict-birth-id = A birth has this id already.
problem-conflict-birth-weight = The pup has a weight at birth already; change that one.
problem-conflict-birth-of-dog = This dog has a birth already.
problem-conflict-place-name = A place has this name already.
problem-conflict-supply = This supply is counted already; change that entry.
problem-conflict-entries-rest = Other entries of the account rest on this one; change those first.
problem-conflict-owner-deleted = What this row belongs to is deleted as well; restore that first.
problem-conflict-pups-dog-deleted = The pup's dog was deleted with the birth; restore that first.
problem-conflict-import-logged = An import is logged without its rows; change or delete these one by one.
problem-conflict-not-restored = A { $what } is not restored from the log; make it anew.
problem-conflict-row-in-parts = What the log keeps of this row is no longer a whole one; write it anew.
problem-conflict-companion = The { $what } that went with it no longer fits: { $why }
problem-conflict-buyer-waits = A pup is offered or promised to this buyer; withdraw the placement first.
problem-conflict-handed-over = The pup has been handed over; a pup that comes back makes the stage returned.
problem-conflict-litter-full = The litter has { $most } pups already.
problem-conflict-collar = Pup { $ordinal } of this litter wears that collar. If this is that pup, it is written down already; if it is another one, give it another collar, or pup { $ordinal } one first.
problem-conflict-same-pup = This looks like pup { $ordinal }, written down { $seconds } s apart with the same marks. If yours is another pup, send it again with "ordinal": { $next }.
problem-conflict-maybe-same-pup = This may be pup { $ordinal }, which somebody else wrote down { $seconds } s apart and which nothing tells from it. If yours is another pup, send it again with "ordinal": { $next }.
problem-conflict-not-next-pup = Pup { $ordinal } is written down already, or one before it is not; the next is pup { $next }. If yours is another pup, send it again without ordinal.
problem-conflict-birth-changed = A birth was changed meanwhile: parent { $parent } would not be older than { $child }; try again.
problem-conflict-second-factor-on = A second factor is on already; take it off first.
problem-conflict-no-second-factor = No second factor waits for a code; begin one first.

## Rows that come back, rows of a batch, rows of an archive

restore-fault-at = { $place } { $what }.
restore-owner-gone = What it hangs on is gone.
batch-corrected-since = it was corrected since, and stays as corrected
batch-deleted-since = it was stored before and deleted since, and stays deleted
batch-same-weighing = the same weighing is there under another id
archive-left-for-reading = is for reading only
archive-left-other-people = names other people than you; invite them, then enter it again

## The path

fault-not-found-row = there is nothing here, or you may not see it
fault-no-such-path = there is no such address; the document at /openapi.json tells which there are
fault-not-an-id = is no id; give the UUID of the row

## Bodies and queries

fault-missing-field = is missing; it must be given
fault-twice-field = stands there twice; give it once
fault-unknown-field = is not a field of this body; leave it out (its fields are { $known })
fault-unknown-field-near = is not a field of this body; did you mean "{ $near }"? (its fields are { $known })
fault-unknown-field-untold = is not a field of this body; leave it out
fault-unknown-field-parameter = is no parameter here; there are { $known }
fault-unknown-field-parameter-near = is no parameter here; did you mean "{ $near }"? (there are { $known })
fault-unknown-field-parameter-none = is no parameter here; leave it out
fault-unknown-value = is none of { $known }
fault-unknown-value-near = is none of { $known }; did you mean "{ $near }"?
fault-wrong-type = must be { $expected }, not { $given }
fault-wrong-type-wanted = must be { $expected }
fault-wrong-type-truth = must be true or false
fault-wrong-type-whole-number = is no whole number
fault-wrong-type-figure = is no number
fault-wrong-type-fields = is not an object of fields to change
fault-malformed-wanted = cannot be read; it must be { $expected }
fault-malformed-as-said = { $what }
fault-malformed-value = { $given } is not accepted here; the published document says what is
fault-malformed-value-untold = is not accepted here; the published document says what is
fault-malformed-form = { $given } is none of the forms accepted here
fault-malformed-pattern = { $given } does not match { $pattern }
fault-malformed-date = is not a day; write it as 2026-05-17
fault-malformed-date-time = is not a time with its offset; write it as 2026-05-17T04:10:00+02:00
fault-malformed-day-or-time = cannot be read as a day or time; write it as 2026-05-17 or 2026-05-17T04:10:00+02:00
fault-malformed-part-of-date = is not a date; write a day (2020-05-17), a month (2020-05) or a year (2020)
fault-malformed-uuid = is not an id; give the UUID of the row
fault-malformed-email = is not an email address
fault-malformed-format = is not a { $format }
fault-malformed-nul-in-text = contains the character U+0000; leave it out
fault-malformed-nul-in-query = contains U+0000
fault-malformed-field-name = has a control character in its name
fault-malformed-nil-id = must be a UUID of your own, not zero
fault-empty-text = { $least ->
    [one] is empty; it must have a character or more
   *[other] is empty; it must have { $least } characters or more
}
fault-too-short-text = { $least ->
    [one] { $given } is shorter than 1 character
   *[other] { $given } is shorter than { $least } characters
}
fault-too-long-text = { $most ->
    [one] { $given } is longer than 1 character
   *[other] { $given } is longer than { $most } characters
}
fault-too-few-items = { $least ->
    [one] has less than 1 item
   *[other] has less than { $least } items
}
fault-too-many-items = { $most ->
    [one] has more than 1 item
   *[other] has more than { $most } items
}
fault-twice-items = has non-unique elements: name each once
fault-out-of-range-least = { $given } is less than the minimum of { $least }
fault-out-of-range-most = { $given } is greater than the maximum of { $most }
fault-out-of-range-above = { $given } is not above { $limit }
fault-out-of-range-below = { $given } is not below { $limit }
fault-out-of-range-number = is a number too large or too small to be kept
fault-out-of-range-of-query = must be from { $least } to { $most }
fault-out-of-range-generations = must be from { $least } to { $most } generations
fault-out-of-range-after = must be { $least } or more
with-unit = { $what }; { $hint }
unit-grams = give whole grams
unit-grams-meant = give whole grams: { $number } kg are { $of_kg } g, { $number } lb are { $of_lb } g, { $number } oz are { $of_oz } g
unit-celsius = give degrees Celsius
unit-celsius-meant = give °C: { $number } °F are { $of_fahrenheit } °C
type-array = a list
type-boolean = true or false
type-integer = a whole number
type-null = null
type-number = a number
type-object = an object
type-string = a text
format-date = a day, written as 2026-05-17
format-time = a time of day, written as 04:10
format-date-time = a time with its offset, written as 2026-05-17T04:10:00+02:00
format-uuid = an id (a UUID)
fault-unreadable-json = cannot be read from line { $line }, column { $column } on
fault-unreadable-json-ends = ends too early, at line { $line }, column { $column }
fault-ours-schema = cannot be checked; this is a fault of the service
fault-differs-path = differs from the path; leave it out
fault-too-long-plan-key = must have { $least } to { $most } characters
fault-too-long-log-word = is longer than { $most } characters; give a word of the log

## Lists

fault-malformed-cursor = is not from a page of this list; leave it out to begin anew
fault-malformed-cursor-of-order = is not from a page of this list in this order; leave it out to begin anew
fault-unsupported-sort = is not taken here: this list has an order of its own
fault-unknown-value-sequence = is neither sequence nor -sequence
fault-unknown-value-sort = names a field by which this list is not sorted; name some of { $known }, with - before it for the reverse
fault-twice-sort = names { $field } twice; once is enough
fault-too-many-sort-fields = names more than { $most } fields; name fewer

## Batches and files

fault-wrong-type-items = must be a list of rows
fault-wrong-type-row = is no object with the fields of a row
fault-wrong-type-record = must be an object: the body that the resource of this kind takes
fault-too-few-rows-of-batch = has { $count } rows; send { $least } to { $most } at once
fault-too-many-rows-of-batch = has { $count } rows; send { $least } to { $most } at once
fault-limit-faults-of-batch = is not acceptable; send fewer rows at once to be told why
fault-differs-subject = differs from subject_id; leave it out
fault-not-allowed-row = { $why }
fault-not-found-subject = names nothing in this kennel that you may see
fault-taken-row = { $why }
fault-taken-another-row = stands against another row: { $why }
fault-taken-row-id = is taken by another row; make a new UUID
fault-taken-row-id-other-values = holds other values already; make a new UUID, or change that row
fault-taken-idempotency-key = was used with another request; take a new key for a new request
fault-twice-row-id = stands in this batch twice with different values
fault-twice-row-before = has an id that a row before has
fault-twice-observation-of-line = is the observation of line { $line } again; leave one out, or give another time
fault-twice-buyer-of-line = is the buyer of line { $line } again
fault-unclear-buyer = { $name } may be any of { $count } buyers; give the address of mail that one of them has
fault-missing-dog-of-row = is missing; name the dog of this row
fault-not-found-named = { $named } { $what }
fault-not-found-row-of-constraint = refers to a row that is not there ({ $constraint })
fault-malformed-constraint = breaks the rule { $constraint }
fault-out-of-range-row = cannot be kept; a value is out of range
fault-not-found-sire-in-archive = names no male dog of the archive
fault-not-found-dam-in-archive = names no female dog of the archive
fault-too-young-parent = names a parent that is not older
fault-own-ancestor-of-archive = makes the dog its own ancestor
fault-not-together-sire-and-dam = is the dam as well
fault-differs-payments = does not fit its payments: { $what }
fault-differs-kennel-name = must be the kennel's name, letter by letter; it keeps you from deleting another one

## What a body names and is not there

fault-not-found-dog-here = names no dog of this kennel
fault-not-found-dog-that-fits = names no dog of this kennel that fits (a heat needs a female)
fault-not-found-dog-of-list = names no dog of this kennel's list
fault-not-found-dog-of-known-sex = names no dog of this kennel's list whose sex is known
fault-not-found-dog-any-more = names a dog that is not there any more
fault-not-found-dog-or-share = refers to a dog that is not in this kennel, or in which you hold no share
fault-not-found-dam-here = names no female dog of this kennel's list
fault-not-found-sire-here = names no male dog of this kennel's list
fault-not-found-dam-of-dog = names no female dog of this kennel's list; give a dog whose sex is female
fault-not-found-sire-of-dog = names no male dog of this kennel's list; give a dog whose sex is male
fault-not-found-litter-here = names no litter of this kennel
fault-not-found-litter-any-more = names a litter that is not there any more
fault-not-found-heat-here = names no heat of this kennel
fault-not-found-heat-of-dam = names no heat of this dam
fault-not-found-mating-here = names no mating of this kennel
fault-not-found-mating-of-dam = names no mating of this dam
fault-not-found-place-here = names no place of this kennel's list
fault-not-found-placement-here = names no placement of this kennel
fault-not-found-buyer-here = names no buyer of this kennel
fault-not-found-member = names no member of this kennel
fault-not-found-member-ever = names nobody who was ever a member
fault-not-found-member-to-invite = names no member of this kennel; invite the person first, as a co-owner
fault-not-found-person = names nobody; give the id of a person who has a login
fault-not-found-plan = names neither a plan of this kennel nor a standard one; see health-plans
fault-not-found-birth-of-weight = is of a pup whose birth is recorded here
fault-not-found-pup-by-label = { $label } names no pup of the litter; give its name, collar or number
fault-unclear-pup-by-label = { $label } names { $count } pups of the litter; give the number
fault-unknown-value-currency-iso = is not an active ISO 4217 currency
fault-unknown-value-event = is nothing that the log tells of: { $known }
fault-unknown-value-supply = is no supply of the kennel's preparation template ({ $known }); add it there first
fault-unknown-value-breeding-rule-set = is no rule set; known: { $known }

## What goes against other rows

fault-fixed-plan-key = does not change; make another plan with this key
fault-fixed-placement-dog = cannot change; withdraw this placement and make another
fault-fixed-placement-kind = cannot change after the offer; withdraw this placement and make another
fault-fixed-member = cannot change; end this membership and invite the other person
fault-fixed-birth = litter_id, dog_id and ordinal are the server's and do not change
fault-fixed-mating-offspring = reaches the litter of this mating: pups { $pups } have offspring, whose pedigree changes with it. Correct the litter first (mating_id null, its parents, "confirmed": true), then this mating, and name it in the litter again.
fault-fixed-mating-parents = reaches the litter of this mating: pups { $pups } have other parents recorded than the litter, which it replaces. Correct the litter first (mating_id null, its parents, "confirmed": true), then this mating, and name it in the litter again.
fault-unlikely-litter-offspring = reaches the pups of the litter: pups { $pups } have offspring, whose pedigree changes with it. To correct them all, send it with "confirmed": true.
fault-unlikely-litter-parents = reaches the pups of the litter: pups { $pups } have other parents recorded than the litter, which it replaces. To correct them all, send it with "confirmed": true.
fault-taken-birth-weight = the pup has a weight at birth already; change that one
fault-taken-chip-of-another = this number is another dog's already
fault-already-done-chip = the dog has the number { $chip_number }
fault-already-done-placement-ended = has ended already; its account is closed
fault-differs-account = does not fit the account: { $what }
fault-differs-birth-time = is not the time of the birth ({ $born_at }); correct born_at there, and this goes along
fault-differs-sire-of-mating = is not the sire of the mating; correct one of the two
fault-elsewhere-mating = names a mating of another dam
fault-own-ancestor-dog = would make the dog its own ancestor; correct sire_id or dam_id
fault-too-young-sire-of-dog = names a sire that is not older than the dog; correct a birth date or the sire
fault-too-young-dam-of-dog = names a dam that is not older than the dog; correct a birth date or the dam
fault-too-late-before-offspring = is not before the birth of the dog's own offspring
fault-too-early-due = is before the day of the check
fault-too-early-before-born = is before the dog was born ({ $born_on }); correct one of the two
fault-too-early-before-heat = is before the heat began ({ $began_on }); correct one of the two
fault-too-early-before-tie = is before the first tie ({ $tied_at }); correct one of the two
fault-too-early-before-mating = is before the mating ({ $mated_at }); correct one of the two
fault-too-early-whelped-before-mating = is not after the mating ({ $mated_on }); correct one of the two
fault-too-late-after-heat = is more than { $most_days } days after the heat began ({ $began_on }): another heat?
fault-out-of-range-measure = is more than pups of this size measure at birth ({ $most_mm } mm); is it in mm, and is the dam's adult weight right?
fault-out-of-range-birth-above-dam = is more than the dam weighs ({ $dam_weight_g } g); give grams
fault-out-of-range-shares-sum = makes the shares in this dog sum to more than one on some day; say from when it is held (held_from)
fault-not-now-report-unwhelped = names a litter that has not been whelped; there is a report from its first birth on
fault-not-now-litter-unborn = names a litter that is not born yet
fault-not-now-not-handed-over = the pup has not been handed over
fault-not-now-nothing-to-label = names a litter of which no pup is here; there is nothing to label
fault-gone-buyer-erased = names a buyer whose data were erased
fault-gone-pup-died = the pup died on { $died_on }; withdraw this placement and tell its buyer
fault-gone-pup-stillborn = the pup was born dead; withdraw this placement and tell its buyer
fault-gone-stillborn-growth = names a stillborn pup, which has no growth
fault-gone-dog-deleted = a dog was deleted
fault-not-met-rule = { $rule }: { $what }

## Questions

fault-wrong-sex-heats = names a dog that is not female; only a dam comes in heat
fault-wrong-sex-not-female = names a dog that is male; give one that is female
fault-wrong-sex-not-male = names a dog that is female; give one that is male
fault-not-together-sire-is-dam-too = is the dam
fault-not-together-dog-ids = stands beside dog_id; give one of the two
fault-wrong-type-dog-ids = must be a list of { $least } to { $most } ids of dogs
fault-twice-dog-of-list = is in the list already
fault-too-many-dogs-of-plan = { $count } dogs with the sires and the breeding stock; { $most } are the most
fault-too-many-pairs = makes { $pairs } pairs with the dams; { $most } are the most, ask in parts
fault-too-many-pairs-limited = is computed for at most { $most } pairs; these are { $pairs }
fault-too-many-pairs-explained = is done for at most { $most } pairs; these are { $pairs }
fault-too-many-choices = makes { $count } choices; { $most } are the most
fault-not-together-heats-of-heat = is for a litter; a heat moves by days alone
fault-not-found-heat-of-plan = names no heat of this plan; take a key from its heats
fault-not-found-key-of-plan = names no litter or heat of this plan; take a key from its litters or heats
fault-fixed-litter-of-plan = names a litter that cannot be moved; only planned matings can
fault-unknowable-growth-unborn = names a dog whose day of birth is unknown; give it, growth is counted from there
feeding-lacks-weight = a weight of this dog
fault-unknowable-no-day = has no day with a chance

## Logins and addresses

fault-wrong-secret-password = is not your password
fault-wrong-secret-second-factor = is not, or no longer, good
fault-wrong-secret-reset = is not, or no longer, good for this address; ask for another
fault-wrong-secret-code-of-moment = is not the code of this moment
fault-wrong-secret-invitation = is unknown, used, expired or for another address; ask for another
fault-missing-second-factor = is missing; your second factor is on, give its code
fault-too-short-password = is too short; take { $least } characters or more
fault-weak-password-own = is little more than your own name or address; take words that say nothing of you
fault-weak-password = is among the first that others would guess; take several words that do not go together
fault-malformed-address = is no address; write one such as https://kennel.example/hook
fault-unsupported-scheme = must begin with https://
fault-unsupported-address-login = holds a name or password; the signature shows who calls
fault-not-allowed-private-network = leads into a private network, which is not allowed here

## Mail and deliveries

reset-sent = If there is a login with this address, a code is on its way to it.
mail-reset-code-subject = A code to reset your password
mail-reset-code =
    Somebody asked to reset your password at denwright. The code is

        { $code }

    It is good for { $minutes } minutes and once. If it was not you, do nothing: your password stays.
mail-password-changed-subject = Your password was changed
mail-password-changed =
    Your password at denwright was changed, and all sessions but the one that changed it have ended.

    If that was not you, ask for a new password by mail at once and tell the person who runs the service.
mail-second-factor-off-subject = Your second factor was taken off
mail-second-factor-off = The second factor of your login at denwright was taken off.
mail-login-deleted-subject = Your login was deleted
mail-login-deleted =
    Your login at denwright was deleted, with all that it opened. This is the last mail to this address.

    If that was not you, tell the person who runs the service.
mail-invitation-subject = { $inviter } invites you to { $kennel }
mail-invitation-owner = You are invited to { $kennel } as an owner: you see and decide everything.
mail-invitation-co-owner = You are invited to { $kennel } as a co-owner: you see and decide what concerns the dogs that you share.
mail-invitation-helper = You are invited to { $kennel } as a helper: you see and write the daily work.
mail-invitation-viewer = You are invited to { $kennel } to look: you see, and write nothing.
mail-invitation-until = The invitation is good until { $day }, once, and for this address alone. If you do not know what it is about, do nothing.
mail-invitation-join = Join
mail-kennel-ends-subject = { $kennel } is deleted on { $day }
mail-kennel-ends = An owner of { $kennel } has asked for it to be deleted. On { $day } all that it has is deleted, pictures and papers too, and cannot be brought back.
mail-kennel-ends-until = Until then everything goes on, and any owner can take it back or take everything along as an archive.
mail-kennel-ends-soon-subject = Soon { $kennel } is deleted: on { $day }
mail-kennel-ends-soon = On { $day } all that { $kennel } has is deleted, pictures and papers too, and cannot be brought back. This is the last reminder.
mail-kennel-goes-on-subject = { $kennel } goes on
mail-kennel-goes-on = An owner of { $kennel } has taken back that it is to be deleted. Nothing was lost.
mail-kennel-open = Open the page of the kennel
mail-webhook-off-subject = A webhook was switched off
mail-webhook-off =
    The webhook of { $kennel } that leads to { $host } has failed at every try since { $since } and has been switched off.

    Changes are not posted there any more. When the receiver answers again, switch the webhook on
    (active: true). What it missed is in the log of changes.
delivery-answered = answered { $status }
delivery-address = the address { $why }
delivery-not-public = the name leads to no public address
delivery-too-slow = no answer came in time
delivery-no-connection = no connection came about
delivery-broken-off = the connection broke off, or the answer could not be read
ring-emergency = Emergency, { $kennel }: { $label }
ring-act = To do today, { $kennel }: { $label }
ring-note = To know, { $kennel }: { $label }
ring-tasks =
    { $tasks ->
        [one] Due today
       *[other] { $tasks } things due today
    }, { $kennel }
ring-tasks-more = and { $more } more
ring-test-title = A test, { $kennel }
ring-test = So it rings here when an alarm is raised. There is nothing to do.
mail-ring =
    { $what }

    { $why }

    { $link }

    { $source }
    { $standing }

    You chose to be told of such alarms by mail. What rings and when is set on the page of the kennel.
letter-subject =
    { $kennel }: { $due ->
        [one] one thing to do today
       *[other] { $due } things to do today
    }{ $late ->
        [0] {""}
       *[other] , { $late } late
    }
letter-head = { $kennel }, { $day }
letter-late-head = Late
letter-due-head = Due today
letter-coming-head = In the next days
letter-late =
    { $title } ({ $days ->
        [one] one day late
       *[other] { $days } days late
    })
letter-coming = { $day }: { $title }
letter-open = Open the list
letter-end = To get no more of these letters, open { $link }
letter-end-short = No more of these letters
letter-choose = Whether and when this letter comes is set on the page of the kennel.
letter-end-asked = Shall no daily letter come any more?
letter-ended = No daily letter comes any more. It is switched on again on the page of the kennel.
letter-no-link = This link ends nothing: it is not whole, or from another service.
letter-later = This cannot be done just now; try again in a few minutes.
fault-disordered-quiet = must be another time than begin
fault-disordered-duty-turn = must be after begins_at
fault-malformed-push-key = is no key of a device; send what its browser gives
problem-conflict-nothing-rings = nothing rings for you: choose a way first, and for pushes enter a device

## Growth and feeding

## Dating, pregnancy and heats

## Slips of the hand

## Litters

## Health plans

## Weights in other units

## Tasks

## Preparation and shopping

## Readiness to go home

## Reports

## Booklet

## What recurs: advice, times, spans, amounts

## Faults of what is written down of dam and pups

## The night of whelping

## Before the birth

## The sheet by the whelping box

## The dam after whelping

## The newborn

## Weights that call

## Before a pup goes home

## How many pups to expect

## Why a coefficient is a lower bound

## Prints: what several have

print-figure = { $figure }
print-unknown = unknown
print-nothing = Nothing is recorded.
print-born = born { $on }
print-sex = Sex
print-sex-female = female
print-sex-male = male
print-collar = { $colours }
print-by-collar = { $collar } collar
print-day = Day
print-what = What
print-source = Source
print-remarks = Remarks
print-minutes = { $minutes } minutes
print-hours = { $hours } hours
print-health-worming = worming
print-health-vaccination = vaccination
print-health-microchip = microchip
print-health-examination = examination
print-health-test = test
print-health-illness = illness
print-health-treatment = treatment
print-health-other = other

## The kennel's own picture

fault-too-long-logo = the picture is not SVG that can be drawn: has more than { $most } characters once it is drawn; simplify it
fault-unsupported-logo-entities = the picture is not SVG that can be drawn: defines entities; write out what they stand for
fault-unsupported-logo-filters = the picture is not SVG that can be drawn: has filters, such as shadows or blurs; flatten them
fault-unsupported-logo-picture = the picture is not SVG that can be drawn: holds a picture that is no PNG, JPEG, GIF or WebP, or a drawing of its own; put its shapes into the logo itself
fault-too-many-logo-pixels = the picture is not SVG that can be drawn: holds pictures of more than 4,000,000 pixels together; make them smaller
fault-unsupported-logo-style-sheet = the picture is not SVG that can be drawn: takes clip paths, masks or patterns from a style sheet; set them as attributes
fault-too-many-logo-shapes = the picture is not SVG that can be drawn: draws more than { $most } shapes; simplify it
fault-unsupported-logo-nested = the picture is not SVG that can be drawn: has elements that refer to themselves, or too many within one another; simplify it
fault-unsupported-logo-markers = the picture is not SVG that can be drawn: has markers on its lines; draw them as shapes

## Booklet

print-booklet-nameless = Pup without a name
print-booklet-logo = Logo of { $kennel }
print-booklet-from = from { $kennel }
print-booklet-place = A place for a picture
print-booklet-who = Who it is
print-booklet-name = Registered name
print-booklet-called = Called
print-booklet-breed = Breed
print-booklet-colour = Colour
print-booklet-markings = Markings
print-booklet-born = Born
print-booklet-litter = Litter
print-booklet-number = number { $ordinal } of { $size } born
print-booklet-number-named = number { $ordinal } of { $size } born, { $name }
print-booklet-chip = Chip number
print-booklet-registers = Registers
print-booklet-not-recorded = Not recorded: { $what }.
print-booklet-parents = Parents and pedigree
print-booklet-inbreeding = Inbreeding
print-booklet-at-least = at least { $share } %, over { $ancestors ->
    [one] { $ancestors } known ancestor
   *[other] { $ancestors } known ancestors
}. { $why }
print-booklet-pedigree-alt = Pedigree. { $named }.
print-booklet-growth = Birth and growth
print-booklet-growth-title = Growth
print-booklet-birth-weight = Weight at birth
print-booklet-no-weights = No weights are recorded.
print-booklet-weights = { $weights } weights from { $from } to { $to }; last { $last }.
print-booklet-growth-alt = Growth: { $says }
print-booklet-album = Album
print-booklet-photo = Photograph of { $name }
print-booklet-photo-aged = Photograph of { $name }, { $age }
print-booklet-age-days =
    { $days ->
        [0] the day of birth
        [one] { $days } day old
       *[other] { $days } days old
    }
print-booklet-age-weeks =
    { $weeks ->
        [one] { $weeks } week old
       *[other] { $weeks } weeks old
    }
print-booklet-given = Given and found
print-booklet-product = Product
print-booklet-batch = Batch
print-booklet-by = By
print-booklet-expires = { $batch }, expires { $on }
print-booklet-tests = Genetic tests
print-booklet-tested = What was tested
print-booklet-result = Result
print-booklet-laboratory = Laboratory
print-booklet-due = What is due next
print-booklet-not-before = Not before
print-booklet-best-on = Best on
print-booklet-at-the-latest = At the latest
print-booklet-optional = { $name } (only where asked for)
print-booklet-feeding = Feeding
print-booklet-care = Care
print-booklet-contact = How to reach us
print-booklet-handed-over = Handed over
print-booklet-were-handed-over = The pup and this booklet were handed over.
print-booklet-sign-place = Place and day
print-booklet-sign-kennel = For the kennel
print-booklet-sign-owner = The new owner

## Labels

print-labels-title = Labels: { $litter }
print-labels-how = Cut out: one for the folder, two for collars. The code leads to the pup's record, for whoever is signed in.
print-labels-alt = Labels of { $pup } with a code that leads to { $address }
print-labels-chip = chip { $chip }

## The sheet by the whelping box

print-sheet-title = Whelping sheet: { $litter }
print-sheet-footer = { $kennel } · { $litter } · printed { $at }
print-sheet-window = { $likely } ({ $first } to { $last })
print-sheet-counted = { $least } to { $most } (at least { $counted } counted)
print-sheet-uncounted = { $least } to { $most } (not counted)
print-sheet-dam = Dam
print-sheet-sire = Sire
print-sheet-due = Due
print-sheet-expected = Pups expected
print-sheet-vet = Vet, day and night
print-sheet-pups-out = Pups out
print-sheet-out = { $pups } ({ $alive } alive, { $stillborn } stillborn); placentas seen: { $placentas }
print-sheet-pups = Pups
print-sheet-number = No.
print-sheet-time = Time
print-sheet-sex = Sex
print-sheet-collar = Collar
print-sheet-looks = Colour, marks
print-sheet-weight-g = Weight (g)
print-sheet-weight-kg = Weight (kg)
print-sheet-weight-lb-oz = Weight (lb, oz)
print-sheet-came = Came
print-sheet-placenta = Placenta
print-sheet-placenta-seen = seen
print-sheet-placenta-not-seen = not seen
print-sheet-score = Score
print-sheet-when-to-call = When to call the vet
print-sheet-after = After
print-sheet-at-once = at once
print-sheet-log = Log: signs, contractions, waters, discharge, what was given
print-sheet-score-of = Score of a newborn: add the points of five signs
print-sheet-sign = Sign
print-sheet-under = under { $figure }
print-sheet-from-to = { $from } to { $to }
print-sheet-over = over { $figure }
print-sheet-heart = Heart beats a minute
print-sheet-breath = Breaths a minute
print-sheet-pinched = Foot pinched
print-sheet-pinched-0 = nothing
print-sheet-pinched-1 = makes a face
print-sheet-pinched-2 = pulls away
print-sheet-moves = Moves
print-sheet-moves-0 = limp
print-sheet-moves-1 = bends a little
print-sheet-moves-2 = active
print-sheet-gums = Gums
print-sheet-gums-0 = blue
print-sheet-gums-1 = pale
print-sheet-gums-2 = pink
print-sheet-score-means = { $good } points and more: no distress; under { $moderate }: severe distress, call. { $source }

## Growth as a picture

print-chart-of = Growth of { $pup }
print-chart-litter = { $pups ->
    [one] Weights of { $pups } pup by day of age.
   *[other] Weights of { $pups } pups by day of age.
}
print-chart-pup = { $pup }: { $weight } on { $on }.
print-chart-not-weighed = { $pup }: not weighed yet.
print-chart-empty = No weights yet
print-chart-in-grams = weight in grams (dots: weighed; dashed: expected)
print-chart-in-kilograms = weight in kilograms (dots: weighed; dashed: expected)
print-chart-in-ounces = weight in ounces (dots: weighed; dashed: expected)
print-chart-in-pounds = weight in pounds (dots: weighed; dashed: expected)
print-chart-days = age in days
print-chart-twice = twice birth weight
print-chart-normal-from = normal birth weight from
print-chart-ceiling = published ceiling
print-chart-share = 19 of 20 weighings

## Pedigree as a picture

print-tree-title = Pedigree of { $dog }
print-tree-described = { $generations } generations; { $repeated } of the places hold a repeated ancestor. Inbreeding at least { $share } %. { $why }
print-tree-known = inbreeding at least { $share } %: unknown ancestors count as unrelated · known: { $equivalents } complete generation equivalents, { $full } full generations
print-tree-signs = ♂ square: sire · ♀ round: dam · no ancestor stands twice · F: inbreeding at least, over as many generations (g) as are known · dashed: not known
print-tree-signs-again = ♂ square: sire · ♀ round: dam · number and heavy frame: the same ancestor on several places · F: inbreeding at least, over as many generations (g) as are known · dashed: not known
print-tree-no-dam = ♀ dam not known
print-tree-no-sire = ♂ sire not known
print-tree-nameless = a dog without a name
print-tree-coefficient = F ≥ { $share } % ({ $generations } g)

## Calendar

print-feed-whelping = Whelping
print-feed-go-home = Going home
print-feed-health = Health
print-feed-heats = Heats
print-feed-chores = Chores
print-feed-absences = Absences
print-feed-heat = { $dam }: heat likely
print-feed-heat-window = Likely on { $likely }; { $share } % from { $from } to { $to }.
print-feed-born = { $litter }: born
print-feed-due = { $litter }: due
print-feed-due-window = Likely on { $likely }; { $share } % from { $from } to { $to }, if there is a litter ({ $chance } %).
print-feed-may-go = { $litter }: pups may go home
print-feed-go-window = From { $from }; usually until { $to }.
print-feed-go-likely = From { $from } on, by the likely day of birth; until { $to } at most.
print-feed-put-off = Put off: { $why }. Source: { $source }
print-feed-source = Source: { $source }
print-feed-chores-more = { $first } and { $more } more
print-feed-away-days = { $from } to { $to }
print-feed-away = { $person } away
print-feed-away-until = { $person } away until { $until }
print-feed-away-last = { $person } away for the last day

## Records: what is wrong with a value

## Days

## The clock of a device

## What is kept when a buyer's data are erased

## Files that are taken in: cells

## Files that are taken in: columns

## Files that are taken in: rows

## Files that are taken in: workbooks

## Files that are taken in: dogs and their parents

## Archives

## Prints: what several have

## The kennel's own picture

fault-unreadable-logo = the picture is not SVG that can be drawn

## Booklet

## Labels

## The sheet by the whelping box

## Growth as a picture

## Pedigree as a picture

## Calendar

## Problems: titles

## Problems: what is wrong this time

## Problems: logins

## Problems: what a role does not allow

## Problems: taken already, or in use

## Rows that come back, rows of a batch, rows of an archive

## The path

## Bodies and queries

## Lists

## Batches and files

## What a body names and is not there

## What goes against other rows

## Questions

## Logins and addresses

## Mail and deliveries
problem-missing-precondition = Send If-Match with the ETag of the version that you have seen.
problem-fault-table = The table could not be written.
fault-malformed-idempotency-key = must be 1 to { $most } visible ASCII characters; a UUID is good
problem-conflict-shown-once = This was done already, and what it made was shown once: take that, or remove it and make another with a new Idempotency-Key.

## Pictures and papers

fault-only-together-attachment-row = give one of dog_id, litter_id and placement_id, and no two
fault-missing-contract-placement = is missing; a contract hangs on a placement
fault-not-together-contract-shown = does not go with a contract: the booklet shows none
fault-fixed-upload = does not change; send the new file as another attachment
fault-not-found-upload = names no upload of yours that is under way; send the file anew
fault-not-now-upload = names an upload that is not whole; send the rest of its bytes first
fault-wrong-kind-photo = is for pictures, and the file is a PDF; choose another kind
fault-differs-file-type = the file is said to be { $said } and is { $is }; send it as what it is
fault-unsupported-file = the file is no JPEG, PNG, WebP or PDF; save it as one of these
fault-unsupported-file-heic = the file is HEIC or AVIF; save it as JPEG (on an iPhone: Settings, Camera, Formats, Most Compatible)
fault-unsupported-file-markup = the file is SVG, HTML or another text, which may hold programs; save it as PNG, JPEG or PDF
fault-unsupported-file-slow = the picture takes too long to unpack; save it anew as JPEG
fault-unreadable-picture = the picture is damaged, or not all of it is there; open it and save it anew
fault-unreadable-exif = what the camera wrote into the picture (Exif) is damaged; open it and save it anew
fault-too-many-scans = the picture is built up in { $count } passes, and { $most } are the most; save it anew as JPEG
fault-too-many-pixels = the picture has { $width } x { $height } pixels, and { $most } million are the most; make it smaller
fault-unreadable-pdf = the PDF cannot be opened, has no page or needs a password; print it into a new PDF
fault-unreadable-pdf-end = the PDF ends too early; send it whole
fault-unsupported-pdf-archive = the PDF is an archive as well; print it into a new PDF
fault-unsupported-pdf-active = the PDF holds programs or other files; print it into a new PDF
fault-malformed-upload-header = must be as tus 1.0 has it: a whole number of bytes, or pairs of a key and Base64
fault-not-found-archive-picture = is named by attachments.csv and is not in the archive; the archive is not whole
fault-differs-archive-picture = is not what attachments.csv says of it; the archive was changed or is damaged
fault-limit-archive-files = the pictures and papers take { $taken } MB, and a kennel may have { $most } MB
problem-title-wrong-protocol = Another protocol is spoken here
problem-wrong-protocol = Send Tus-Resumable: { $version }; uploads speak tus 1.0.
problem-too-large-file = A picture or paper may have { $most } MB, and no more than was announced; make it smaller.
problem-later-files = The store of pictures and papers is away; try again in a few seconds.
problem-conflict-files-full = The kennel's pictures and papers take { $taken } of { $most } MB; delete some, or have whoever runs the service allow more.
problem-conflict-uploads = { $most } uploads are under way; finish them, or give them up.
problem-conflict-upload-offset = The upload has { $offset } bytes; go on from there.
problem-conflict-upload-moved = Another piece came to this place meanwhile; ask how far the upload is, and go on from there.
problem-conflict-upload-used = The upload has become an attachment already; read that.
problem-conflict-file-gone = The file has been removed for good; send it anew.

## When a dam may be bred again, and her weeks after whelping

breed-again-yes = Nothing on record is against a mating in her next heat, which is likely around { $likely_on }.
breed-again-yes-now = Nothing on record is against a mating; no heat of hers can be foretold.
breed-again-unknown = The record does not decide: see what is not known among the grounds.
breed-again-ask-vet = Ask your vet before she is bred again: see the grounds.
breed-again-not-yet = Not in her next heat: mated from { $from } on, nothing with a day is against it.
breed-again-not-yet-open = Not yet: something that has no day is against it, see the grounds.
breed-again-no = By what is on record she may not be bred again: see the grounds.
breed-again-died = She died on { $on }.
breed-again-not-here = She is not in the kennel.
breed-again-carries = She carries a litter, or one is expected of her: ask again once it is weaned.
breed-again-nurses = She nurses: pups are usually weaned by { $weaned_by }.
breed-again-womb = The lining of her womb is whole again by { $healed_on }.
breed-again-caesareans = { $count } of her litters came by caesareans: ask the vet whether her womb may carry another.
breed-again-caesarean-last = Her last litter came by caesarean: ask the vet who did it whether and when her womb may carry another.
breed-again-low-calcium = After her litter of { $whelped_on } she showed grave signs of low calcium: it may come back, ask the vet before she is bred again.
breed-again-calls = Something about her calls now: { $what }
breed-again-weight-unknown = Nothing says whether she is back at her usual weight: weigh her.
breed-again-weight-low = She is { $percent } % below her usual weight; at most { $limit_percent } % counts as recovered.
lochia-green = Green to black in the first hours, then red-brown: beyond { $hours } hours after the last pup green is a reason to call.
lochia-red-brown = Red-brown and less from week to week, without smell; it usually ends by { $ends_on }. Foul, green or bright red: call the vet.
lochia-ending = It usually has ended; a little without smell may come until { $ends_on }. More, foul or bright red: call the vet.
lochia-over = None is usual any more: have any discharge looked at. The lining of her womb is whole again by { $healed_on }.
calcium-risk-before = she showed grave signs of low calcium after her litter of { $whelped_on }
calcium-risk-small = she is small ({ $weight_kg } kg; at most { $limit_kg } kg)
calcium-risk-large = { $pups } pups nurse, where { $usual_pups } are usual for her size
calcium-risk-first = it is her first litter
calcium-risk-advice = Watch for restlessness, panting, face rubbing, stiff steps and tremor: it turns into an emergency within hours, so call the vet at the first of them. Give calcium only as your vet says.
dam-weight-usual = { $percent } % beside her usual weight.
dam-weight-too-low = { $percent } % beside her usual weight, { $limit_percent } % or more below it: feed her more and more often, and ask the vet.
