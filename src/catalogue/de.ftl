### Was denwright sagt, auf Deutsch. Ein Eintrag heißt wie sein Code; Zahlen und Tage schreibt das Programm.

## Aufzählungen und Zahlen

list-and = { $begin } und { $end }
list-or = { $begin } oder { $end }
# Für den eigenen Test des Katalogs.
test-values = { $share }, { $weight }, { $day }: { $parts }

## Alarme

about = { $label }: { $what }
whelping-nothing-yet = Noch verlangt nichts nach dem Tierarzt: Schreib die ersten Zeichen und ihre Temperatur auf.
whelping-nothing-now = Jetzt verlangt nichts nach dem Tierarzt.
whelping-write-how-it-ended = Schreib auf, wie es ausging; wenn es noch so ist, ruf jetzt den Tierarzt. { $what }

## Trächtigkeit

pregnancy-temperature-of = Temperatur von { $at }

## Anfragen

stated-as = { $what } (als { $field })

## Zucht: Aufzählungen

listing-comma = { $begin }, { $end }
listing-semicolon = { $begin }; { $end }
chance-percent = { $share } %
chance-percent-range = { $low } bis { $high } %

## Zucht: Fehler, die öfter vorkommen

fault-out-of-range-from-to = muss von { $from } bis { $to } sein
fault-twice = steht zweimal da
fault-twice-dog-id = { $id } steht zweimal da
fault-not-found-among-dogs = { $id } ist nicht unter den angegebenen Hunden
fault-own-ancestor-parents = ein Hund ist unter seinen eigenen Ahnen; berichtige seine Eltern
fault-empty-chances = hat keinen Tag, für den eine Wahrscheinlichkeit angegeben ist

## Zucht: Grenzen

limit-month = { $month }.{ $year }
limit-count-range = { $from } bis { $to }
limit-least-age-unknown = Geburtsdatum nicht bekannt; mindestens { $months } Monate
limit-least-age = geboren { $born }, gedeckt { $mated_on }; mindestens { $months } Monate (ab { $from })
limit-most-age-unknown = Geburtsdatum nicht bekannt; höchstens { $months } Monate
limit-most-age = geboren { $born }, am { $on }; Grenze { $months } Monate ({ $reached_on })
limit-litters = { $had ->
    [one] ein Wurf
   *[other] { $had } Würfe
 } vor diesem; höchstens { $most } mit diesem
limit-litters-gaps = { $had ->
    [one] ein Wurf
   *[other] { $had } Würfe
 } vor diesem erfasst, womöglich fehlen welche; höchstens { $most } mit diesem
limit-litters-window = { $had ->
    [one] ein Wurf
   *[other] { $had } Würfe
 } in den { $months } Monaten bis { $to }; höchstens { $most } mit diesem
limit-litters-window-gaps = { $had ->
    [one] ein Wurf
   *[other] { $had } Würfe
 } in den { $months } Monaten bis { $to } erfasst, womöglich fehlen welche; höchstens { $most } mit diesem
limit-litters-year = { $had ->
    [one] ein anderer Wurf
   *[other] { $had } andere Würfe
 } im Jahr { $year }; höchstens { $most } mit diesem
limit-litters-year-gaps = { $had ->
    [one] ein anderer Wurf
   *[other] { $had } andere Würfe
 } im Jahr { $year } erfasst, womöglich fehlen welche; höchstens { $most } mit diesem
limit-interval-none = kein Wurf erfasst; { $months } Monate zwischen zwei Würfen
limit-interval = zuletzt geworfen { $last }, als Nächstes etwa { $next }; { $months } Monate Abstand (ab { $from })
limit-rest-too-few = { $litters ->
    [one] ein Wurf
   *[other] { $litters } Würfe
 } erfasst; es braucht zwei
limit-rest = geworfen { $before } und { $last }, als Nächstes etwa { $next }; nach zwei Würfen innerhalb von { $window_months } Monaten { $months } Monate Pause (bis { $rested_on })
limit-caesareans = { $recorded ->
    [one] ein Wurf
   *[other] { $recorded } Würfe
 } durch Kaiserschnitt erfasst, bei { $not_recorded } nicht festgehalten; höchstens { $most }
limit-other-sires-unknown = Deckakte dieser Läufigkeit nicht erfasst
limit-other-sires = { $others ->
    [one] ein anderer Rüde
   *[other] { $others } andere Rüden
 } in dieser Läufigkeit; höchstens { $most } insgesamt
limit-kin-unknown = Verwandtschaft mit dem Rüden nicht angegeben
limit-kin-close = der Rüde ist ihr Vater, ihr Sohn oder ihr Vollbruder
limit-kin-none = nach den Aufzeichnungen weder Vater noch Sohn noch Vollbruder
breeding-limits-note = Beispiele, unter denen ein Zwinger wählen kann; es gelten das örtliche Recht und die geltende Fassung der Regeln des Zuchtverbands.
rule-set-title-careful = Vorsichtige Vorgaben aus mehreren Regelwerken
rule-set-scope-careful = Zwinger, die keinem anderen Regelwerk folgen
rule-set-title-kennel_club_uk = The Kennel Club (Vereinigtes Königreich), Eintragung von Würfen
rule-set-scope-kennel_club_uk = dort eingetragene Würfe; Ausnahmen auf Antrag
rule-set-title-england_2018 = England, Animal Welfare (Licensing) Regulations 2018, Anhang 6
rule-set-scope-england_2018 = Züchter mit Erlaubnis
rule-set-title-england_1999 = England, Auflagen nach dem Breeding and Sale of Dogs (Welfare) Act 1999 (früheres Recht)
rule-set-scope-england_1999 = Erlaubnisse nach früherem Recht
rule-set-title-ireland_2010 = Irland, Dog Breeding Establishments Act 2010, Abschnitt 15
rule-set-scope-ireland_2010 = Betriebe mit sechs oder mehr Hündinnen
rule-set-title-sweden_2020 = Schweden, SJVFS 2020:8, Kapitel 6 § 5
rule-set-scope-sweden_2020 = alle; ein Tierarzt kann die Pause verkürzen
rule-set-title-us_registry = Ein nationaler Zuchtbuchverband der USA, Kapitel 3 Abschnitt 5
rule-set-scope-us_registry = dort eingetragene Würfe
rule-set-title-german_club_example = Zuchtordnung eines deutschen Rassezuchtvereins (Beispiel)
rule-set-scope-german_club_example = Mitglieder eines solchen Vereins
rule-set-title-fci = FCI-Zuchtreglement (ältere Fassung)
rule-set-scope-fci = Zwinger der Mitgliedsverbände
rule-set-title-scotland_2021 = Schottland, Animal Welfare (Licensing) Regulations 2021, Anhang 6
rule-set-scope-scotland_2021 = Züchter mit Erlaubnis
rule-set-title-wales_2014 = Wales, Animal Welfare (Breeding of Dogs) Regulations 2014
rule-set-scope-wales_2014 = Züchter mit Erlaubnis
rule-set-title-france_2025 = Frankreich, Verordnung vom 19. Juni 2025 über Heimtiere, Artikel 26
rule-set-scope-france_2025 = Züchter
rule-set-title-netherlands_2014 = Niederlande, Besluit houders van dieren, Artikel 3.4
rule-set-scope-netherlands_2014 = alle
rule-set-title-flanders_2019 = Flandern, Zwingerverordnung in der Fassung von 2019
rule-set-scope-flanders_2019 = Zwinger mit Anerkennung (ab drei Würfen im Jahr)
rule-set-title-czechia_2021 = Tschechien, Gesetz 246/1992 in der Fassung von 2021
rule-set-scope-czechia_2021 = Züchter
rule-set-title-virginia = Virginia, gewerbliche Hundezucht
rule-set-scope-virginia = gewerbliche Hundezüchter; jede Hündin braucht jährlich die Bescheinigung eines Tierarztes
rule-set-title-ontario_2024 = Ontario, Preventing Unethical Puppy Sales Act, 2024
rule-set-scope-ontario_2024 = alle
rule-set-title-new_south_wales_2025 = Neusüdwales, Gesetzesänderungen gegen Welpenfabriken, in Kraft seit 1. Dezember 2025
rule-set-scope-new_south_wales_2025 = alle, die züchten

## Zucht: Recht

law-not-held-to = Dein Recht hat eigene Grenzen: Sieh dir auch das Regelwerk { $rule_set } an.
law-not-held-to-why = { $title }, für: { $scope }.
law-unconfirmed = Frag nach, was dein Recht sagt: Eine Grenze, die dafür aufgeführt ist, ist nicht bestätigt.
law-limit-months = { $title }: { $months ->
    [one] ein Monat
   *[other] { $months } Monate
 }.
law-limit-litters = { $title }: { $litters ->
    [one] ein Wurf
   *[other] { $litters } Würfe
 }.
law-limit-sires = { $title }: { $sires ->
    [one] ein Rüde
   *[other] { $sires } Rüden
 }.
law-limit-matings = { $title }: { $matings ->
    [one] eine Paarung
   *[other] { $matings } Paarungen
 }.
law-not-found = Frag nach, was das Recht über Alter, Würfe und Kaiserschnitte sagt.
law-not-found-of = Frag nach, was das Recht { $of } über Alter, Würfe und Kaiserschnitte sagt.
law-not-found-looked = Gesucht am { $looked_on }, keine Zahl gefunden: { $looked_at }.
law-not-found-no-jurisdiction = Der Zwinger nennt kein Land, dessen Recht für ihn gilt; trag es ein, damit du von seinem Recht erfährst.
law-not-found-not-listed = Für das Rechtsgebiet { $jurisdiction } sind keine Grenzen aufgeführt.
law-row-read = { $about } am { $on }
law-dated = Frag erneut nach, was dein Recht sagt: Regeln, die hier stehen, wurden zuletzt vor mehr als einem Jahr gelesen.
law-old-text = Was vom Gesetz gelesen wurde ({ $about }), ist von { $year }: Fragen Sie bei Ihrem Staat oder Ihrer Behörde nach, ob es noch gilt.
law-old-text-why = Der neueste Text, der gefunden wurde, ist von { $year }.
law-dated-why = Zuletzt gelesen: { $rows }.
fault-unknown-value-country = ist kein Land nach ISO 3166-1; schreib zwei Buchstaben wie DE oder GB
law-of-DE = Deutschlands
law-of-AT = Österreichs
law-of-CH = der Schweiz
law-of-BE-WAL = der Wallonie
law-of-LU = Luxemburgs
law-of-DK = Dänemarks
law-of-NO = Norwegens
law-of-FI = Finnlands
law-of-ES = Spaniens
law-of-IT = Italiens
law-of-PT = Portugals
law-of-PL = Polens
law-of-GB-NIR = Nordirlands
law-of-US = der Vereinigten Staaten von Amerika
law-of-CA = Kanadas
law-of-AU = Australiens
law-of-AU-VIC = des Bundesstaats Victoria
law-of-NZ = Neuseelands
law-looked-at-DE = Tierschutz-Hundeverordnung, ganz gelesen: nichts zu Alter, Würfen oder Kaiserschnitten
law-looked-at-AT = 2. Tierhaltungsverordnung, Anlage 1, in Teilen
law-looked-at-CH = Tierschutzverordnung, Art. 28 und 70, und die Seite des Bundesamts über die Zucht: keine Zahlen
law-looked-at-BE-WAL = der Erlass vom 24. November 2022 begrenzt die Würfe und setzt ein Mindest- und ein Höchstalter; seine Zahlen ließen sich nicht lesen
law-looked-at-LU = die Gesetze von 2008 und 2018 über Hunde und Tiere, in Teilen
law-looked-at-DK = die Verordnungen über Abgabe und Kennzeichnung
law-looked-at-NO = ein Entwurf von 2023 (12 Monate zwischen zwei Geburten, vier Würfe, zwei Kaiserschnitte), nicht als geltend gefunden
law-looked-at-FI = 2024 wurde eine Verordnung über die Zucht vorbereitet, nicht als geltend gefunden
law-looked-at-ES = Ley 7/2023; ein königliches Dekret über Zwinger war im Oktober 2025 ein Entwurf
law-looked-at-IT = die Vereinbarung vom 6. Februar 2003, Art. 3: keine Zahlen; nach den Regionen wurde nicht gesucht
law-looked-at-PT = Gesetze über den Handel mit Heimtieren, in Teilen
law-looked-at-PL = Ustawa o ochronie zwierząt, Art. 10a: keine Zahlen
law-looked-at-GB-NIR = SR 2013/43 setzt ein Alter und Wurfzahlen, wie die Bekanntmachung des Ministeriums von 2013 sagt; die Zahlen ließen sich nicht lesen
law-looked-at-US = Gesetze der Bundesstaaten über gewerbliche Züchter: Virginia hat ein Regelwerk; die anderen wurden nur in Übersichten angesehen
law-looked-at-CA = Ontario hat ein Regelwerk; Québec verlangt Untersuchungen durch einen Tierarzt, vor der ersten Deckung und ab 7 Jahren jährlich; nach anderen Provinzen wurde nicht gesucht
law-looked-at-AU = Neusüdwales hat ein Regelwerk; andere Bundesstaaten wurden nicht gefunden
law-looked-at-AU-VIC = der Code of Practice von 2014, überarbeitet 2018: seine Zahlen ließen sich nicht lesen
law-looked-at-NZ = Code of Welfare: Dogs 2018, nur das Inhaltsverzeichnis

## Zucht: Mikrochips

chip-old = Älter als ISO 11784: Viele Lesegeräte finden ihn nicht, und an einer Grenze kann daneben ein ISO-Chip verlangt werden.
chip-unknown-country = { $code } steht nicht in der Tabelle der Länder.
fault-malformed-chip-number = enthält { $character }; eine Chipnummer hat 15 Ziffern (ISO 11784)
fault-too-short-chip = hat { $digits ->
    [one] eine Ziffer
   *[other] { $digits } Ziffern
 }; eine Chipnummer hat 15 (ISO 11784), eine alter Art 9 oder 10
fault-too-long-chip = hat { $digits } Ziffern; eine Chipnummer hat 15 (ISO 11784), eine alter Art 9 oder 10
fault-unknown-value-chip-no-code = beginnt mit 000, was kein Land und kein Hersteller hat; lies den Chip noch einmal
fault-wrong-kind-chip-test-code = beginnt mit 999, was nur für Versuche ist; lies den Chip noch einmal
fault-out-of-range-chip = endet auf { $number }; die letzten zwölf Ziffern sind höchstens { $most }; lies den Chip noch einmal
fault-twice-chip-line = { $number } steht schon in einer früheren Zeile; jeder Hund hat seinen eigenen Chip
chip-country-004 = Afghanistan
chip-country-008 = Albanien
chip-country-012 = Algerien
chip-country-020 = Andorra
chip-country-024 = Angola
chip-country-031 = Aserbaidschan
chip-country-032 = Argentinien
chip-country-036 = Australien
chip-country-040 = Österreich
chip-country-044 = Bahamas
chip-country-048 = Bahrain
chip-country-050 = Bangladesch
chip-country-051 = Armenien
chip-country-056 = Belgien
chip-country-064 = Bhutan
chip-country-068 = Bolivien
chip-country-070 = Bosnien und Herzegowina
chip-country-072 = Botsuana
chip-country-076 = Brasilien
chip-country-100 = Bulgarien
chip-country-112 = Belarus
chip-country-116 = Kambodscha
chip-country-120 = Kamerun
chip-country-124 = Kanada
chip-country-144 = Sri Lanka
chip-country-152 = Chile
chip-country-156 = China
chip-country-158 = Taiwan
chip-country-170 = Kolumbien
chip-country-188 = Costa Rica
chip-country-191 = Kroatien
chip-country-192 = Kuba
chip-country-196 = Zypern
chip-country-203 = Tschechien
chip-country-208 = Dänemark
chip-country-214 = Dominikanische Republik
chip-country-218 = Ecuador
chip-country-222 = El Salvador
chip-country-231 = Äthiopien
chip-country-233 = Estland
chip-country-234 = Färöer
chip-country-242 = Fidschi
chip-country-246 = Finnland
chip-country-250 = Frankreich
chip-country-268 = Georgien
chip-country-276 = Deutschland
chip-country-288 = Ghana
chip-country-292 = Gibraltar
chip-country-300 = Griechenland
chip-country-304 = Grönland
chip-country-320 = Guatemala
chip-country-340 = Honduras
chip-country-344 = Hongkong
chip-country-348 = Ungarn
chip-country-352 = Island
chip-country-356 = Indien
chip-country-360 = Indonesien
chip-country-364 = Iran
chip-country-368 = Irak
chip-country-372 = Irland
chip-country-376 = Israel
chip-country-380 = Italien
chip-country-388 = Jamaika
chip-country-392 = Japan
chip-country-398 = Kasachstan
chip-country-400 = Jordanien
chip-country-404 = Kenia
chip-country-410 = Südkorea
chip-country-414 = Kuwait
chip-country-417 = Kirgisistan
chip-country-422 = Libanon
chip-country-428 = Lettland
chip-country-438 = Liechtenstein
chip-country-440 = Litauen
chip-country-442 = Luxemburg
chip-country-446 = Macau
chip-country-458 = Malaysia
chip-country-470 = Malta
chip-country-480 = Mauritius
chip-country-484 = Mexiko
chip-country-492 = Monaco
chip-country-496 = Mongolei
chip-country-498 = Moldau
chip-country-499 = Montenegro
chip-country-504 = Marokko
chip-country-508 = Mosambik
chip-country-512 = Oman
chip-country-516 = Namibia
chip-country-524 = Nepal
chip-country-528 = Niederlande
chip-country-554 = Neuseeland
chip-country-558 = Nicaragua
chip-country-566 = Nigeria
chip-country-578 = Norwegen
chip-country-586 = Pakistan
chip-country-591 = Panama
chip-country-600 = Paraguay
chip-country-604 = Peru
chip-country-608 = Philippinen
chip-country-616 = Polen
chip-country-620 = Portugal
chip-country-630 = Puerto Rico
chip-country-634 = Katar
chip-country-642 = Rumänien
chip-country-643 = Russland
chip-country-674 = San Marino
chip-country-682 = Saudi-Arabien
chip-country-688 = Serbien
chip-country-702 = Singapur
chip-country-703 = Slowakei
chip-country-704 = Vietnam
chip-country-705 = Slowenien
chip-country-710 = Südafrika
chip-country-716 = Simbabwe
chip-country-724 = Spanien
chip-country-752 = Schweden
chip-country-756 = Schweiz
chip-country-760 = Syrien
chip-country-762 = Tadschikistan
chip-country-764 = Thailand
chip-country-780 = Trinidad und Tobago
chip-country-784 = Vereinigte Arabische Emirate
chip-country-788 = Tunesien
chip-country-792 = Türkei
chip-country-795 = Turkmenistan
chip-country-800 = Uganda
chip-country-804 = Ukraine
chip-country-807 = Nordmazedonien
chip-country-818 = Ägypten
chip-country-826 = Vereinigtes Königreich
chip-country-834 = Tansania
chip-country-840 = Vereinigte Staaten von Amerika
chip-country-858 = Uruguay
chip-country-860 = Usbekistan
chip-country-862 = Venezuela
chip-country-887 = Jemen
chip-country-894 = Sambia

## Zucht: Abstammung und Rassen

pedigree-twice = ein Tier ist zweimal da
pedigree-same-parents = Vater und Mutter sind dasselbe Tier
pedigree-loop = Tiere sind ihre eigenen Ahnen
pedigree-not-there = dieses Tier ist nicht im Stammbaum
pedigree-too-many = zu viele Tiere
inbreeding-limited-rule = Ein Ahne, dessen kürzester Abstand die Grenze ist, zählt als Gründer.
breeds-method = erwartet: Mittel der Anteile der Eltern; möglich: alles oder nichts von jeder gemischten Keimzelle; wahrscheinlich: Erwartung plus und minus 1,96 Standardabweichungen des verwirklichten Anteils über die Autosomen (Crossing-over ohne Interferenz, Haldane), begrenzt auf das Mögliche
breeds-autosomes = nur Autosomen; Gründer mit angegebener Rasse sind reinrassig
breeds-unknown-ancestors = wahrscheinliche Bereiche zählen Ahnen unbekannter Rasse zu keiner der genannten
breeds-bounds-only = kein wahrscheinlicher Bereich, wo ein Gründer selbst gemischt oder der Stammbaum zu groß ist: nur Grenzen
fault-wrong-sex-is-dam = ist die Mutter; gib einen Rüden an
fault-out-of-range-denominator = ein Nenner darf nicht 0 sein
fault-out-of-range-breeds-sum = die Teile der Rassen müssen zusammen 1 ergeben
fault-twice-breed = nenne jede Rasse nur einmal

## Zucht: Genmarker

marker-class-dies = stirbt vor der Geburt
marker-class-shows = zeigt { $allele }
marker-class-clear = frei
marker-class-carrier = Anlageträger
marker-class-affected = betroffen
marker-class-hemizygous = betroffen (hemizygot: Ein Rüde hat nur ein X)
marker-class-at-risk-one = Risiko, eine Kopie
marker-class-at-risk-two = Risiko, zwei Kopien
marker-class-shows-it = zeigt es
marker-class-one-copy = eine Kopie
marker-class-two-copies = zwei Kopien
marker-meaning = { $class }. { $one_copy }
marker-one-copy-ask = Eine Kopie zeigt sich zum Teil: Frag einen Tierarzt, was das bedeutet.
marker-founders-by-frequency = nicht getestete Gründer haben die Genotypen zufälliger Paarung bei den angegebenen Allelhäufigkeiten ({ $source })
marker-too-many-untested = zu viele nicht getestete Verwandte, um alle Fälle durchzurechnen: ein Elternteil kann jeden Genotyp haben, den die Ergebnisse nicht ausschließen
marker-founders-any = { $founders ->
    [one] ein nicht getesteter Gründer kann
   *[other] { $founders } nicht getestete Gründer können
 } jeden Genotyp haben: die Wahrscheinlichkeiten sind der Bereich über alle Fälle
marker-with-penetrance = Penetranz: { $penetrance }
marker-risk-copies-one = einer Kopie
marker-risk-copies-two = zwei Kopien
marker-risk-copies-any = einer oder zwei Kopien
marker-risk-share = Risiko bei { $copies }: { $low } bis { $high } % solcher Hunde ({ $outcome }).
marker-risk-relative = Risiko bei { $copies }: das { $low }- bis { $high }-Fache der Hunde ohne Kopie ({ $outcome }).
marker-risk-unknown = Risiko bei { $copies }: keine Zahl gefunden ({ $outcome }).
marker-chance-affected = Betroffen: Töchter { $daughters }, Söhne { $sons }.
marker-chance-copies = Welpen mit einer Kopie: Töchter { $daughters }, Söhne { $sons }.
marker-chance-one-copy = Eine Kopie: Töchter { $daughters }, Söhne { $sons }.
marker-dam-affected = Die Hündin ist betroffen ({ $name }): Frag vor der Zucht einen Tierarzt.
marker-sire-affected = Der Rüde ist betroffen ({ $name }): Frag vor der Zucht einen Tierarzt.
marker-dam-affected-why = Der Genotyp der Hündin gilt als betroffen.
marker-sire-affected-why = Der Genotyp des Rüden gilt als betroffen.
marker-dam-one-copy = Die Hündin hat eine Kopie ({ $name }).
marker-sire-one-copy = Der Rüde hat eine Kopie ({ $name }).
marker-dam-one-copy-why = Im Genotyp der Hündin steht eine Kopie.
marker-sire-one-copy-why = Im Genotyp des Rüden steht eine Kopie.
marker-dam-two-copies = Die Hündin hat zwei Kopien ({ $name }).
marker-sire-two-copies = Der Rüde hat zwei Kopien ({ $name }).
marker-dam-two-copies-why = Im Genotyp der Hündin stehen zwei Kopien.
marker-sire-two-copies-why = Im Genotyp des Rüden stehen zwei Kopien.
marker-pups-affected = Welpen können betroffen sein ({ $name }): Wähle einen anderen Partner.
marker-on-the-x = Die Anlage liegt auf dem X: Söhne einer Anlageträgerin sind gefährdet.
marker-not-ruled-out = Betroffene Welpen ({ $name }) sind nicht ausgeschlossen: Teste zuerst die Eltern.
marker-some-carry = Kein Welpe kann betroffen sein ({ $name }); manche können Anlageträger sein: Teste die, die in der Zucht bleiben.
marker-pups-one-copy = Welpen können eine Kopie haben ({ $name }), und schon eine schadet.
marker-pups-one-copy-do = Lass jeden Welpen testen und sag es seinem Besitzer und dessen Tierarzt.
marker-every-pup-has-a-copy = Jeder Welpe hat eine Kopie ({ $name }), wer auch immer der andere Elternteil ist.
marker-pups-copy-tell = Sag es dem Besitzer jedes Welpen und dessen Tierarzt.
marker-one-copy-not-ruled-out = Welpen mit einer Kopie ({ $name }), von der schon eine schadet, sind nicht ausgeschlossen: Teste zuerst die Eltern.
marker-may-be-lethal = Welpen mit zwei Kopien ({ $name }) sterben womöglich vor der Geburt: Teste beide Eltern.
marker-lethal = Welpen mit zwei Kopien ({ $name }) sterben vor der Geburt: Rechne mit einem kleineren Wurf oder wähle einen anderen Partner.
marker-lethal-why = Vor der Geburt verloren: { $chance }.
merle-cryptic-dam = Die Hündin hat ein kryptisches Merle (Mc), das weder Farbe noch Gesundheit beeinflusst; bei einem Welpen kann es länger werden: Lass bei Welpen, die in der Zucht bleiben, die Länge messen.
merle-cryptic-sire = Der Rüde hat ein kryptisches Merle (Mc), das weder Farbe noch Gesundheit beeinflusst; bei einem Welpen kann es länger werden: Lass bei Welpen, die in der Zucht bleiben, die Länge messen.
merle-cryptic-why = Eine kurze Insertion zählt nicht als Kopie von Merle.
double-merle-harm = Von Doppelmerles waren { $one_ear } % auf einem Ohr taub und { $both_ears } % auf beiden; auch Augenfehler kommen vor.
double-merle-pups = Doppelmerle-Welpen: { $chance }.
double-merle-both = Beide Eltern tragen Merle: Mach diese Verpaarung nicht.
double-merle-dam-red = Ein Elternteil trägt Merle, und die Hündin ist rot oder gelb (e/e), was Merle verdeckt: Teste zuerst die Hündin.
double-merle-sire-red = Ein Elternteil trägt Merle, und der Rüde ist rot oder gelb (e/e), was Merle verdeckt: Teste zuerst den Rüden.
double-merle-dam-unseen = Ein Elternteil trägt Merle, und die Hündin trägt vielleicht unerkannt Merle (zu wenig, um es zu sehen, oder von Rot und Gelb verdeckt): Teste zuerst die Hündin.
double-merle-sire-unseen = Ein Elternteil trägt Merle, und der Rüde trägt vielleicht unerkannt Merle (zu wenig, um es zu sehen, oder von Rot und Gelb verdeckt): Teste zuerst den Rüden.
double-merle-not-ruled-out = Doppelmerle ist nicht ausgeschlossen: Teste beide Eltern auf Merle.
fault-in-future-result = liegt nach heute ({ $today }); gib den Tag des Ergebnisses an
fault-unknown-value-marker = { $value } ist kein bekannter Marker; bekannt: { $known }
fault-unknown-value-marker-here = ist kein bekannter Marker; bekannt: { $known }
fault-differs-omia = { $name } hat { $omia }
fault-too-few-alleles = gib zwei Allele an, zweimal dasselbe, wenn beide Kopien gleich sind
fault-too-many-alleles = gib zwei Allele an, zweimal dasselbe, wenn beide Kopien gleich sind
fault-too-few-alleles-x = { $name } liegt auf dem X: ein Rüde hat ein Allel; gib eines an
fault-too-many-alleles-x = { $name } liegt auf dem X: ein Rüde hat ein Allel; gib eines an
fault-unknown-value-allele = { $value } ist kein Allel von { $marker }; bekannt: { $known }, oder ?, wenn es nicht bekannt ist
fault-unknown-value-allele-here = ist kein Allel von { $marker }; bekannt: { $known }
fault-out-of-range-frequencies-sum = muss über alle Allele des Markers zusammen 1 ergeben
fault-wrong-sex-is-female = ist eine Hündin
fault-wrong-sex-is-male = ist ein Rüde
fault-wrong-sex-dam = ist ein Rüde; gib als Mutter eine Hündin an
fault-wrong-sex-sire = ist eine Hündin; gib als Vater einen Rüden an
fault-differs-parents-results = { $marker }: das Ergebnis kann nicht von den Ergebnissen seiner Eltern kommen
fault-differs-family-results = die Ergebnisse für { $marker } widersprechen sich in dieser Familie
fault-differs-results = { $marker }: Ergebnisse widersprechen sich oder haben unbekannte Allele
fault-wrong-kind-copies-of-series = eine Allelserie hat keine Kopien zu zählen
fault-taken-known-marker = der Katalog kennt diesen Test als { $marker }: Trag ihn als Gentest ein, damit mit ihm gerechnet wird
fault-out-of-range-copies-on-x = ein Rüde hat ein X und deshalb höchstens eine Kopie
fault-out-of-range-share-of-runs = Homozygotieabschnitte sind ein Anteil des Genoms: 0 oder mehr
fault-wrong-kind-shortest-run = gehört nur zu Homozygotieabschnitten
free-test-inheritance-unknown = Kein Ergebnis sagt, wie es vererbt wird: Frag das Labor, dann lassen sich Wahrscheinlichkeiten berechnen.
free-test-inheritance-differs = Die Ergebnisse sind sich nicht einig, wie es vererbt wird: Frag das Labor.
free-test-series = Es ist eine Allelserie, deren Reihenfolge hier nicht eingetragen ist.
free-test-copies-unknown = Kein Ergebnis sagt, wie viele Kopien gefunden wurden.
free-test-contradicts = Die Ergebnisse widersprechen sich in dieser Familie.
genomic-runs-above = Das Genom zeigt { $genome }, der Stammbaum { $pedigree }. Das ist zu erwarten: Ein Stammbaum zählt ab seinen Gründern, Abschnitte im Genom sind älter.
genomic-runs-below = Das Genom zeigt { $genome }, der Stammbaum { $pedigree }. Geschwister unterscheiden sich durch Zufall, und kurze Abschnitte wurden vielleicht nicht gezählt; ist der Unterschied groß, lass die Eltern bestätigen.
genomic-other-base = Das Genom zeigt { $genome }, der Stammbaum { $pedigree }. Sie gehen von Verschiedenem aus und lassen sich nicht Zahl für Zahl vergleichen.
screening-figures = Zahlen von { $least } bis { $most } mit höchstens { $decimals } Nachkommastellen
fault-unknown-value-scheme = { $value } ist kein bekanntes Untersuchungsverfahren; bekannt: { $known }
fault-unknown-value-screening = { $value } ist kein Ergebnis ({ $scheme }); bekannt: { $known }
fault-wrong-kind-sides = { $scheme } hat ein Ergebnis für den Hund und keines für die Seiten
fault-missing-screening = gib das Ergebnis des Hundes an oder das einer Seite
fault-wrong-kind-condition = { $scheme } nennt keine Krankheit
fault-differs-sides = die beiden Seiten ergeben { $made }
screening-relatives-note = Wer untersucht wurde, ist oft ausgewählt, und schlechte Aufnahmen werden nicht immer eingeschickt: Gezählt ist, was eingetragen ist, nicht alle.
breeding-values-no-heritability = Es ist keine Heritabilität hinterlegt: Die Krankheiten der Augen werden jede auf eigene Weise vererbt. Sieh dir stattdessen die Verwandten an.
breeding-values-too-few = { $dogs ->
    [one] Ein Hund hat ein Ergebnis
   *[other] { $dogs } Hunde haben ein Ergebnis
}, das zählt; ab { $least } werden Zuchtwerte genannt.
breeding-values-about-scale = Die Werte sind in genetischen Standardabweichungen; weniger als 0 ist gesünder. Ergebnisse mehrerer Verfahren kommen durch ihre Streuung auf einen Maßstab.
breeding-values-about-groups = Jedes Verfahren hat einen eigenen Mittelwert; Alter, Geschlecht, Jahr und Untersucher sind nicht berücksichtigt.
breeding-values-about-base = 0 ist das Mittel der Gründer dieses Stammbaums, nicht das der Rasse.
breeding-values-about-linear = Grade werden genommen, als wären sie gemessen; der Fehler gilt für die angegebene Heritabilität, die selbst unsicher ist.
breeding-values-about-chosen = Ergebnisse, die nicht eingeschickt wurden, fehlen, deshalb können Zuchtwerte zu gut sein.
breeding-value-better = { $value }: besser als das Mittel, soweit die Ergebnisse es sagen (Genauigkeit { $accuracy }).
breeding-value-worse = { $value }: schlechter als das Mittel, soweit die Ergebnisse es sagen (Genauigkeit { $accuracy }). Wähle einen besseren Partner und behalte die Welpen im Auge.
breeding-value-not-told-apart = { $value }: Die Ergebnisse unterscheiden ihn nicht vom Mittel (Genauigkeit { $accuracy }).
screening-scheme-fci_hips = FCI-Grad der Hüfte
screening-scheme-ofa_hips = OFA-Grad der Hüfte
screening-scheme-bva_hips = BVA/KC-Hüftpunkte
screening-scheme-pennhip = PennHIP-Distraktionsindex
screening-scheme-iewg_elbows = Ellbogengrad (IEWG; FCI, BVA/KC)
screening-scheme-ofa_elbows = OFA-Grad des Ellbogens
screening-scheme-putnam_patella = Patellagrad (Putnam)
screening-scheme-heart_murmur = Herzgeräusch, Grad 0 bis 6
screening-scheme-mitral_prolapse = Mitralklappenprolaps, Grad 0 bis 3
screening-scheme-heart_examination = Herzuntersuchung
screening-scheme-ecvo_eyes = Augenuntersuchung (ECVO)
screening-scheme-bva_eyes = Augenuntersuchung (BVA/KC/ISDS)
marker-name-prcd_pra = Progressive Netzhautatrophie, Form prcd
marker-name-dm_sod1 = Degenerative Myelopathie
marker-name-mdr1 = Arzneimittelempfindlichkeit durch MDR1-Defekt
marker-name-eic = Belastungsinduzierter Kollaps
marker-name-cea_ch = Collie-Augenanomalie, Hypoplasie der Aderhaut
marker-name-vwd1 = Von-Willebrand-Krankheit Typ 1
marker-name-huu = Hyperurikosurie
marker-name-rcd1 = Stäbchen-Zapfen-Dysplasie 1
marker-name-cmr1 = Multifokale Retinopathie 1
marker-name-cmr2 = Multifokale Retinopathie 2
marker-name-cmr3 = Multifokale Retinopathie 3
marker-name-ncl5 = Neuronale Ceroid-Lipofuszinose 5
marker-name-ncl4a = Neuronale Ceroid-Lipofuszinose 4A
marker-name-pll = Primäre Linsenluxation
marker-name-cnm = Zentronukleäre Myopathie
marker-name-cddy = Chondrodystrophie mit Bandscheibenerkrankung
marker-name-haemophilia_a = Hämophilie A
marker-name-coat_a = A-Lokus (Agouti)
marker-name-coat_k = K-Lokus (dominantes Schwarz)
marker-name-coat_e = E-Lokus (Extension)
marker-name-coat_b = B-Lokus (Braun)
marker-name-coat_d = D-Lokus (Verdünnung)
marker-name-coat_m = M-Lokus (Merle)
marker-name-coat_s = S-Lokus (Weißscheckung)
marker-name-coat_h = H-Lokus (Harlekin)
marker-name-cdpa = Chondrodysplasie (Kurzbeinigkeit)
marker-name-natural_bobtail = Angeborene Stummelrute
marker-name-hairless_foxi3 = Haarlosigkeit (FOXI3)
marker-variant-mdr1 = Deletion von 4 bp
marker-variant-cea_ch = Deletion von 7,8 kb
marker-variant-rcd1 = rasseeigene Varianten (bei einer eine Insertion von 8 bp)
marker-variant-cmr2 = eine andere BEST1-Variante
marker-variant-cmr3 = eine andere BEST1-Variante
marker-variant-ncl5 = Variante des Border Collies
marker-variant-ncl4a = Variante des Typs 4A
marker-variant-cnm = Variante des Labrador Retrievers
marker-variant-cddy = Retrogen auf CFA12
marker-variant-haemophilia_a = familieneigene Varianten
marker-variant-coat_a = mehrere
marker-variant-coat_k = mehrere
marker-variant-coat_e = mehrere
marker-variant-coat_b = mehrere b-Varianten; zwei beliebige ergeben Braun
marker-variant-coat_d = mehrere d-Varianten
marker-variant-coat_m = Insertion, eingeteilt nach der Länge ihres Endes
marker-variant-coat_s = mehrere
marker-variant-cdpa = Retrogen auf CFA18
marker-variant-hairless_foxi3 = Duplikation von 7 bp
marker-copy-does-mdr1 = Auch Hunde mit einer Kopie können von manchen Arzneimitteln vergiftet werden: Sag es dem Tierarzt vor jedem Arzneimittel und jeder Narkose.
marker-copy-does-vwd1 = Wo die Anlage dominant ist, genügt eine Kopie: Sag es dem Tierarzt vor jeder Operation.
marker-copy-does-cddy = Für die Bandscheibenerkrankung ist die Anlage dominant: Eine Kopie erhöht das Risiko wie zwei (und verkürzt die Beine weniger).
marker-copy-does-hairless_foxi3 = Haarlosen Hunden fehlen oft Zähne, oder sie sind missgebildet.
marker-risk-of-dm_sod1-1 = degenerative Myelopathie, meist ab 8 Jahren
marker-risk-of-mdr1-1 = Vergiftung durch manche Arzneimittel; es kommt auf das Mittel und seine Menge an
marker-risk-of-vwd1-1 = Blutungen, die länger dauern, als sie sollten
marker-risk-of-pll-1 = Linsenluxation; eher die kleinere Zahl
marker-risk-of-cddy-1 = Operation wegen eines Bandscheibenvorfalls, in Rassen, in denen nicht jeder Hund eine Kopie hat, und bei Mischlingen
marker-penetrance-dm_sod1 = unvollständig: zwei Kopien erhöhen das Risiko, nicht jeder solche Hund erkrankt
marker-penetrance-cea_ch = unterschiedlich starke Ausprägung
marker-penetrance-vwd1 = unvollständig
marker-penetrance-cddy = eine Kopie oder zwei erhöhen das Risiko eines Bandscheibenvorfalls; nicht jeder solche Hund erkrankt
marker-note-mdr1 = Ältere Texte nennen die Anlage rezessiv.
marker-note-vwd1 = Dominant mit unvollständiger Penetranz bei Dobermann und Kromfohrländer; anderswo wird rezessive Vererbung vermutet.
marker-note-pll = Anlageträger haben ein geringes Risiko.
marker-note-cddy = In Rassen, in denen jeder Hund zwei Kopien hat, lässt sie sich innerhalb der Rasse nicht wegzüchten: Frag den Rassezuchtverein, was er rät.
marker-note-coat_a = Es gibt eine neuere Benennung nach Promotoren (aus dem Gedächtnis).
marker-note-coat_e = Eg steht zwischen E und e; eine frühe Arbeit setzte es über E.
marker-note-coat_m = Mc ist eine kurze, kryptische Insertion, die weder Farbe noch Gesundheit beeinflusst; Hunde mit M/Mc sind Merle mit einer Kopie. Sie kann von einer Generation zur nächsten länger werden.
marker-note-coat_s = In der Praxis fast additiv: Schon eine Kopie kann etwas Weiß zeigen.
marker-note-coat_h = Zeigt sich nur mit Merle; H/H stirbt vor der Geburt.
marker-note-cdpa = Kurze Beine ohne die Bandscheibenerkrankung von CDDY, von der sie zu unterscheiden ist.
marker-note-natural_bobtail = Nicht jede Rasse mit kurzer Rute hat diese Variante.

## Zucht: Fellfarbe

coat-black = schwarz
coat-brown = braun
coat-blue = blau
coat-lilac = lilac
coat-fawn-sable = falbfarben oder zobel (Pigment { $dark })
coat-brindle = { $dark } gestromt
coat-wolf-sable = wildfarben (Pigment { $dark })
coat-brindle-wolf-sable = wildfarben gestromt (Pigment { $dark })
coat-saddle-tan = { $dark } mit Sattel und Loh
coat-saddle-brindle = { $dark } mit Sattel und Stromung
coat-tan-points = { $dark } mit Loh
coat-brindle-points = { $dark } mit gestromten Abzeichen
coat-grizzle = Grizzle (Pigment { $dark })
coat-recessive-red = gelb bis rot, Nase { $dark }
coat-mask = dunkle Maske
coat-merle = Merle
coat-double-merle = Doppelmerle
coat-harlequin = Harlekin
coat-small-marks = vielleicht kleine weiße Abzeichen
coat-irish-white = Irish-Scheckung
coat-piebald = Plattenscheckung
coat-extreme-white = überwiegend weiß
colours-independent = die Loki werden unabhängig voneinander vererbt
colours-untested-loci = Loki, auf die niemand getestet ist, können beliebige Allele haben
colours-no-merle = Merle ist nicht berücksichtigt: niemand ist darauf getestet
colours-no-white = weiße Abzeichen sind nicht berücksichtigt: niemand ist darauf getestet
colours-white-series = Weiß folgt der klassischen Reihe; in der Praxis ist es fast additiv
colours-born-only = Welpen, die vor der Geburt sterben (H/H), sind nicht gezählt
fault-unknowable-colours = kein Hund ist auf einen Farblokus getestet; bekannt: { $known }

## Zucht: sichtbare Merkmale

seen-tested = getestet { $genotype }
seen-tested-clear = frei getestet
seen-described = als "{ $words }" beschrieben, nicht getestet
seen-may-hide = Farbe "{ $colour }", die Merle verdecken kann
seen-no-colour = Farbe nicht erfasst
seen-not-described = nicht so beschrieben
seen-both = Beide Eltern scheinen { $name } zu sein: { $what }.
seen-both-why = Hündin { $dam }; Rüde { $sire }.
seen-hidden-dam = Ein Elternteil scheint { $name } zu sein, und die Hündin trägt die Anlage vielleicht unerkannt: Lass die Hündin vor der Deckung testen.
seen-hidden-sire = Ein Elternteil scheint { $name } zu sein, und der Rüde trägt die Anlage vielleicht unerkannt: Lass den Rüden vor der Deckung testen.
seen-hidden-why = Der eine: { $one }; der andere: { $other }.
seen-mismatch-dam = Die Hündin ist als "{ $words }" beschrieben, aber ihr Test fand die Anlage nicht ({ $name }): Prüf, was davon stimmt, bevor sie mit einem Hund verpaart wird, der sie trägt.
seen-mismatch-sire = Der Rüde ist als "{ $words }" beschrieben, aber sein Test fand die Anlage nicht ({ $name }): Prüf, was davon stimmt, bevor er mit einem Hund verpaart wird, der sie trägt.
seen-mismatch-why = Erfasste Farbe und Test widersprechen sich.
seen-trait-name-merle = merle
seen-trait-name-harlequin = harlekin
seen-trait-name-natural_bobtail = von Geburt an stummelrutig
seen-trait-name-hairless = haarlos
seen-trait-what-merle = Welpen mit zwei Kopien von Merle können taub oder blind sein. Verpaare nicht Merle mit Merle; lass zuerst beide auf Merle testen. Ist schon gedeckt, sag es dem Tierarzt und lass Augen und Ohren der Welpen untersuchen
seen-trait-what-harlequin = Welpen mit zwei Kopien der Harlekin-Variante sterben vor der Geburt: Rechne mit einem kleineren Wurf und lass beide testen
seen-trait-what-natural_bobtail = Welpen mit zwei Kopien der Stummelruten-Variante sterben vor der Geburt: Rechne mit einem kleineren Wurf und lass beide testen; nicht jede kurze Rute kommt davon
seen-trait-what-hairless = Welpen mit zwei Kopien der Haarlos-Variante sterben vor der Geburt: Rechne mit einem kleineren Wurf und lass beide testen; Rassen mit einer anderen Haarlos-Variante sind nicht betroffen
seen-trait-expected-merle = Von einem solchen Paar ist bei einem Viertel der Welpen mit zwei Kopien zu rechnen.
seen-trait-expected-harlequin = Von zwei Harlekinen geht voraussichtlich ein Viertel der Welpen verloren.
seen-trait-expected-natural_bobtail = Wo beide die Variante haben, geht voraussichtlich ein Viertel der Welpen verloren.
seen-trait-expected-hairless = Von zwei haarlosen Hunden dieser Rassen geht voraussichtlich ein Viertel der Welpen verloren.

## Zucht: Verpaarungspläne

mating-died = gestorben am { $on }
mating-dam-not-on-offer = die Hündin steht nicht zur Wahl: { $reason }
mating-sire-not-on-offer = der Rüde steht nicht zur Wahl: { $reason }
mating-over-ceiling = Inzuchtkoeffizient von mindestens { $inbreeding } liegt über der Obergrenze von { $ceiling }
mating-undecided = nicht entschieden: { $detail } ({ $source })
mating-pedigrees-unknown = wie vollständig die Ahnentafeln sind, ist nicht bekannt; der Inzuchtkoeffizient ist womöglich zu niedrig angegeben
mating-pedigree-short = die kürzere Ahnentafel ist auf { $generations } Generationen vollständig, weniger als { $least }: der Inzuchtkoeffizient ist zu niedrig angegeben
score-formula = Bewertung = Summe(Gewicht x Punkte) / Summe(Gewicht); Punkte: Inzucht 1 - F/Obergrenze; mittlere Verwandtschaft 1 - Verwandtschaft/Vollausschlag; Gesundheit 1 - größte Wahrscheinlichkeit eines betroffenen, verlorenen oder Doppelmerle-Welpen oder eines mit nur einer Kopie, die schon schadet; Alter 1 im besten Alter, außerhalb geradlinig fallend; begrenzt auf 0-1; ein unbekannter Teil zählt nach der Regel für unbekannte Teile
score-inbreeding = Inzuchtkoeffizient { $inbreeding }, Obergrenze { $ceiling }
score-inbreeding-unknown = Inzuchtkoeffizient nicht bekannt, Obergrenze { $ceiling }
score-kinship = mittlere Verwandtschaft mit dem Zuchtbestand { $kinship }, Vollausschlag { $full_scale }
score-kinship-unknown = mittlere Verwandtschaft mit dem Zuchtbestand nicht bekannt, Vollausschlag { $full_scale }
score-no-test = kein Gentest erfasst
score-no-risk = kein Risiko bei den getesteten Markern
score-age = { $years } Jahre
score-age-unknown = Alter nicht bekannt
score-ages = Hündin { $dam }, am besten { $dam_from } bis { $dam_to }; Rüde { $sire }, am besten bis { $sire_to }
risk-affected = { $name }: betroffen { $chance }
risk-one-copy = { $name }: eine Kopie, die schon schadet, { $chance }
risk-double-merle = { $name }: Doppelmerle { $chance }
risk-lost = { $name }: vor der Geburt verloren { $chance }
year-plan-method = Branch and Bound über die Würfe je Elterntier auf einer konvexen Relaxation von c'Kc mit Frank-Wolfe-Nachweis; unter Plänen mit denselben Würfen je Elterntier die Paare mit der geringsten mittleren Inzucht
year-plan-breed-weighs = die mittlere Verwandtschaft der Welpen mit ihrer Rasse zählt { $weight }-mal so viel wie die untereinander
year-plan-pups = jeder Wurf hat { $pups } Welpen
choice-not-possible = Ein Plan mit dieser Verpaarung ist nicht möglich.
choice-dam-without-litter = Die Hündin soll keinen Wurf haben.
choice-costs-nothing = Diese Verpaarung kostet die anderen nichts.
choice-costs-nothing-but-mates = { $dams ->
    [one] Diese Verpaarung kostet nichts; eine andere Hündin bekommt einen anderen Rüden.
   *[other] Diese Verpaarung kostet nichts; { $dams } andere Hündinnen bekommen einen anderen Rüden.
}
choice-costs = { $dams ->
    [0] Mit dieser Verpaarung steigt die mittlere Verwandtschaft aller Welpen um { $more } Prozentpunkte; die anderen behalten ihre Rüden.
    [one] Mit dieser Verpaarung steigt die mittlere Verwandtschaft aller Welpen um { $more } Prozentpunkte; bei einer anderen Hündin ändert sich der Rüde.
   *[other] Mit dieser Verpaarung steigt die mittlere Verwandtschaft aller Welpen um { $more } Prozentpunkte; bei { $dams } anderen Hündinnen ändert sich der Rüde.
}
fault-not-found-among-candidates = gehört nicht zu den Hunden dieses Plans
fault-missing-breed-of-weight = gib an, welche Rasse zählen soll
fault-missing-litters-of-weight = gib an, wie viele Würfe gewünscht sind: Das Gewicht zählt in deren Vorschlag
fault-missing-litters-of-choices = gib an, wie viele Würfe gewünscht sind: Eine Wahl wird an einem Plan gemessen
year-plan-founders = Verwandtschaft nach der Abstammung; Gründer zählen als nicht verwandt
fault-too-few-dogs = gib mindestens einen Hund an
fault-wrong-sex-dams = ist ein Rüde; gib als Mütter Hündinnen an
fault-wrong-sex-sires = ist eine Hündin; gib als Väter Rüden an
fault-limit-pairs = { $pairs } Paare sind mehr als die Grenze von { $most }; gib weniger Hündinnen oder Rüden an
fault-limit-pairs-offered = { $pairs } Paare sind mehr als die Grenze von { $most }; biete weniger an
fault-limit-animals = { $dogs } Hündinnen und Rüden sind mehr als die Grenze von { $most }; biete weniger an
fault-twice-dog-in-table = ein Hund steht zweimal da
fault-wrong-kind-kinship-size = gib { $dogs } x { $dogs } Zahlen an, nicht { $figures }
fault-differs-mirror-image = muss gleich seinem Spiegelbild sein
fault-wrong-kind-no-kinship = ist keine Tabelle von Verwandtschaften: sie ist nicht positiv semidefinit
fault-too-many-litters-fit = { $most ->
    [one] höchstens ein Wurf passt
   *[other] höchstens { $most } Würfe passen
 } zu den angegebenen Paaren und Grenzen; gewünscht sind { $wanted }
fault-too-many-litters-must = die Würfe, die Hunde haben müssen, passen nicht zu den angegebenen Paaren und Grenzen
fault-unknowable-no-plan = kein Plan passt
fault-too-few-pairs = gib mindestens ein erlaubtes Paar an
fault-twice-on-offer = steht zweimal unter den Hündinnen und Rüden
fault-not-found-kinship = hat keine Verwandtschaftszahlen; steht der Hund im Stammbaum?
fault-disordered-litters = muss mehr Würfe haben, als er darf
fault-not-found-on-offer = braucht eine Hündin und einen Rüden von denen, die zur Wahl stehen

## Zucht: Kalender des Zwingers

planner-as-planned = wie geplant
planner-days-earlier = { $days ->
    [one] einen Tag
   *[other] { $days } Tage
 } früher
planner-days-later = { $days ->
    [one] einen Tag
   *[other] { $days } Tage
 } später
planner-heat-likely = Läufigkeit { $number } von { $dam }, voraussichtlich { $likely }
planner-litter-of = Wurf von { $dam }
planner-mating-of = Deckung von { $dam }
planner-draft-for = Entwurf für { $dam }
planner-mating-without-day = Eine Deckung von { $dam } ist ohne Tag geplant, und ihre nächste Läufigkeit lässt sich nicht vorhersagen: Gib planned_on an.
planner-same-nights = die Geburten von { $one } und { $other } können innerhalb { $days ->
    [one] eines Tages
   *[other] von { $days } Tagen
 } liegen ({ $percent } %)
planner-person-away = { $person } ist von { $from } bis { $to } nicht da; die Geburt von { $litter } kann dann sein ({ $percent } %)
planner-no-place = kein freier Wurfplatz von { $from } bis { $to }, am schlimmsten am { $worst } ({ $percent } %): { $litters }
planner-place-taken = belegt oder geschlossen von { $from } bis { $to }, am schlimmsten am { $worst } ({ $percent } %): { $litters }
planner-too-few-hands = weniger Leute, als die Würfe brauchen, von { $from } bis { $to }, am schlimmsten am { $worst } ({ $percent } %): { $litters }
fault-out-of-range-span = muss von { $from } bis drei Jahre danach sein
fault-twice-key = { $key } ist zweimal da
fault-not-found-litter-of-plan = nennt keinen Wurf des Plans
fault-not-found-female = nennt keine Hündin, die du sehen darfst
fault-not-found-male = nennt keinen Rüden, den du sehen darfst
fault-too-early-today = liegt vor heute ({ $today })
fault-unknowable-heat = lässt sich nicht vorhersagen: trag ihre Läufigkeiten oder ihr Geburtsdatum ein oder gib mated_on an

## Zucht: Abgabe der Welpen

money = { $whole },{ $part } { $currency }
money-whole = { $whole } { $currency }
placement-objective-must = Kein Käufer bekommt einen Welpen, der einen unverzichtbaren Wunsch nicht erfüllt oder von dem das nicht bekannt ist.
placement-objective-waiting = Wer länger wartet, kommt zuerst dran; niemand geht leer aus für jemanden, der später kam.
placement-objective-most-wishes = Unter denen, die einen Welpen bekommen, werden insgesamt so viele Wünsche wie möglich erfüllt.
placement-objective-weight = Wo das eine Wahl lässt, zählen Wünsche umso mehr, je länger ein Käufer wartet.
placement-place = Platz { $place } von { $buyers }.
placement-met = Erfüllt: { $wishes }.
placement-not-met = Nicht erfüllt: { $wishes }.
placement-not-known = Nicht bekannt: { $wishes }.
placement-goes-to-place = { $pup } geht an Platz { $place }
placement-no-wishes = Keine Wünsche.
placement-none-meets-more = Kein freier Welpe erfüllt mehr.
placement-more-would-be-met = Mehr wäre erfüllt, aber { $others }.
placement-no-free-pup = Es gibt keinen freien Welpen.
placement-all-go-to-others = Jeder Welpe, der passen würde, geht an einen Käufer, der länger wartet.
placement-none-meets-must = Von keinem freien Welpen ist bekannt, dass er alles Unverzichtbare erfüllt: { $wishes }.
placement-wish-sex = Geschlecht
placement-wish-colour = Farbe
placement-wish-purpose = Zweck
placement-wish-litter = Wurf
placement-wish-date = Termin
fault-unknown-value-currency-code = ist keine geltende Währung nach ISO 4217; schreib drei große Buchstaben wie EUR
fault-unknown-value-currency-code-given = { $value } ist keine geltende Währung nach ISO 4217; schreib drei große Buchstaben wie EUR
fault-out-of-range-entry = muss von { $least_minor } bis { $most_minor } kleinste Einheiten sein
fault-differs-currency = ist in { $currency }; dieses Konto wird in { $kept_in } geführt
fault-limit-account = macht das Konto zu groß
fault-out-of-range-taken-off = zieht mehr ab, als berechnet wurde; höchstens { $most }
fault-out-of-range-paid-back = zahlt mehr zurück, als eingenommen wurde; höchstens { $most }
fault-out-of-range-kept = muss von { $least_minor } bis zum Preis von { $most_minor } kleinsten Einheiten sein
fault-too-many-at-most = dürfen höchstens { $most } sein
fault-twice-on-list = steht zweimal auf der Liste
fault-twice-given = ist zweimal angegeben
fault-not-now-stage = kann nicht auf { $from } folgen; möglich: { $possible }
fault-not-now-stage-end = kann nicht auf { $from } folgen, denn das ist das Ende
fault-not-now-first-stage = kann nicht am Anfang stehen; möglich: { $possible }
fault-missing-reserved-until = gib den letzten Tag der Reservierung an
fault-too-early-reserved-until = liegt vor heute ({ $today }); gib einen kommenden Tag an
fault-not-now-reserved = die Reservierung ist noch nicht abgelaufen; zieh sie stattdessen zurück
fault-not-met-readiness = der Welpe ist noch nicht bereit zur Abgabe; was fehlt, steht bei seiner Abgabebereitschaft
fault-empty-wish = muss ein Text von 1 bis { $most } Zeichen sein oder null
fault-too-long-wish = muss ein Text von 1 bis { $most } Zeichen sein oder null
fault-disordered-wish = liegt vor from_on ({ $from_on })
fault-only-together-must = ist kein Wunsch dieses Käufers; gib den Wunsch an oder lass ihn in must weg
follow-up-first_call = Frag, wie die ersten Nächte waren, ob der Welpe frisst und schläft
follow-up-settled_in = Frag nach dem Besuch beim Tierarzt des Besitzers, nach Gewicht und Entwurmung
follow-up-last_puppy_vaccination = Frag, ob die letzte Impfung der Welpenreihe gegeben wurde
follow-up-half_year = Frag nach Gewicht, Zähnen, Hoden und Wesen; erinnere an die Impfung mit 26 Wochen
follow-up-first_year = Frag nach der Gesundheit, dem Gewicht als erwachsener Hund und einem Bild
follow-up-health_results = Frag nach Ergebnissen der Gelenk-, Augen- und Gentests

## Aufgaben

task-line = { $head }: { $parts }
task-line-of = { $head }: { $parts } ({ $litters })
task-line-more = { $head }: { $parts } und { $more } weitere
task-line-more-of = { $head }: { $parts } und { $more } weitere ({ $litters })
task-of-litter = { $litter }: { $what }
litter-of-dam = Wurf von { $dam }
task-dose-of = { $dose } ({ $who })
task-dose-if-asked = { $dose }, wo dein Tierarzt oder das Gesetz es verlangt
task-dogs = { $count } Hunde
task-find-out = Herausfinden, was früher gegeben wurde
task-find-out-of-dog = Herausfinden, was { $dog } früher bekommen hat: { $asked }
task-find-out-in-short = { $dog } ({ $asked })
task-asked-birth = Tag der Geburt
task-asked-worming = Entwurmung
task-asked-vaccination = Impfung
task-weigh = { $litter }: Welpen wiegen ({ $unweighed } heute noch nicht gewogen)
task-weigh-nameless = Wurf: Welpen wiegen ({ $unweighed } heute noch nicht gewogen)
task-tell-of-death = { $pup } ist am { $died_on } gestorben: Sag es dem Käufer und gib zurück, was gezahlt wurde, oder biete einen anderen Welpen an
task-a-pup = Ein Welpe
task-report = Lesen, was der neue Besitzer über { $dog } berichtet, und annehmen oder ablehnen
task-report-of-illness = Heute lesen, was der neue Besitzer über { $dog } berichtet: eine Krankheit
task-report-of-death = Heute lesen, was der neue Besitzer über { $dog } berichtet: den Tod
task-follow-up = { $pup }: { $what }
task-done-of = { $title } ({ $done } von { $times } erledigt)
task-times-a-day = { $title } ({ $times }-mal am Tag)
task-buy = Kaufen: { $what }
task-shopping = Einkauf
task-progesterone-test = { $dam }: Progesterontest ({ $why })
task-planned-mating-natural = { $dam }: geplanter Deckakt (natürlich)
task-planned-mating-fresh = { $dam }: geplante Besamung (Frischsamen)
task-planned-mating-chilled = { $dam }: geplante Besamung (gekühlter Samen)
task-planned-mating-frozen = { $dam }: geplante Besamung (Gefriersamen)
fault-in-future-task-done = liegt nach jetzt ({ $now })
fault-only-together-task-done-by = muss zusammen mit done_at angegeben werden
fault-too-early-task-snooze = muss nach heute ({ $today }) liegen; um es heute zu tun, nimm den Aufschub weg
fault-missing-task-snooze-reason = schreib, warum es aufgeschoben wird
fault-already-done-task-snooze = eine erledigte Aufgabe lässt sich nicht aufschieben
fault-out-of-range-days-ahead = muss zwischen 0 und { $most } Tagen liegen

## Vorbereitung und Einkauf

preparation-nothing = Nichts vorzubereiten: Der Wurf hat kein Datum, bei der letzten Untersuchung war kein Welpe zu sehen, oder seine Welpen sind ausgezogen.
shopping-line = { $supply }: { $amount } { $unit }
shopping-line-packs = { $supply }: { $amount } { $unit } ({ $packs ->
    [one] 1 Packung
   *[other] { $packs } Packungen
} zu { $size })
fault-not-found-preparation-key = { $key } ist kein Schlüssel der Standardvorlage
fault-malformed-preparation-key = darf nur aus kleinen Buchstaben, Ziffern und _ bestehen
fault-twice-preparation-key = { $key } kommt zweimal vor
fault-empty-preparation-title = ist leer
fault-disordered-preparation-days = muss mindestens from_day ({ $from_day }) sein
fault-out-of-range-preparation-day = muss zwischen -{ $most_days } und { $most_days } liegen
fault-out-of-range-preparation-every-days = muss mindestens 1 sein
fault-out-of-range-preparation-times-a-day = muss zwischen 1 und 24 liegen
fault-out-of-range-preparation-of-use = darf höchstens { $most_days } sein
fault-out-of-range-supply-amount = muss zwischen 0 und 10000 liegen
fault-out-of-range-supply-pack-size = muss über 0 liegen und darf höchstens 10000 sein
fault-not-together-supply-shared = gilt nur für Wiederverwendbares; was verbraucht wird, ist nie gemeinsam
fault-out-of-range-supply-days = muss zwischen used_from_day ({ $from_day }) und { $most_days } liegen
preparation-task-pregnancy-check = Trächtigkeit mit Ultraschall prüfen
preparation-why-pregnancy-check = Zeigt, ob sie trächtig ist; ein Maß der Welpen grenzt auch den Wurftermin ein.
preparation-task-no-calcium = Vor der Geburt kein Kalzium eingeben, außer der Tierarzt verlangt es
preparation-why-no-calcium = Kalzium während der Trächtigkeit kann danach eine Eklampsie auslösen.
preparation-task-diet-change = Über mehrere Tage auf das Futter für die späte Trächtigkeit umstellen
preparation-why-diet-change = Ihr Energiebedarf steigt in den letzten fünf Wochen.
preparation-task-vet-number = Tierarzt: Zeitraum des Wurftermins mitteilen, Tag- und Nachtnummern aufschreiben
preparation-why-vet-number = Nachts soll niemand eine Nummer suchen müssen.
preparation-task-emergency-plan = Notfallplan: wer fährt, welche Klinik nachts geöffnet ist, wie die Welpen mitfahren
preparation-why-emergency-plan = Ein Kaiserschnitt kann nicht auf einen Plan warten.
preparation-task-xray-count = Röntgenbild, um die Welpen zu zählen
preparation-why-xray-count = Zeigt, wann der letzte Welpe geboren ist.
preparation-task-place-ready = Wurfplatz fertig
preparation-why-place-ready = Sie soll ihn kennen, bevor sie ihn braucht.
preparation-task-place-used = Sie schläft am Wurfplatz
preparation-why-place-used = Eine Hündin, die daran gewöhnt ist, bleibt zur Geburt dort.
preparation-task-supplies-packed = Alles für die Geburt vollständig und bereitgelegt
preparation-why-supplies-packed = Siehe die Einkaufsliste.
preparation-task-heat-source = Wärmequelle geprüft, Temperatur im Nest gemessen
preparation-why-heat-source = Neugeborene Welpen können sich nicht warm halten.
preparation-task-helpers = Wer in welcher Nacht dableibt
preparation-why-helpers = Niemand kann den ganzen Zeitraum über wach bleiben.
preparation-task-temperature = Ihre Temperatur messen
preparation-why-temperature = Ein Abfall auf 37,5 °C oder weniger kommt 13 bis 33 Stunden vor der Geburt.
preparation-task-dam-temperature = Temperatur der Mutterhündin messen, Ausfluss und Gesäuge ansehen
preparation-why-dam-temperature = Eine Entzündung der Gebärmutter oder des Gesäuges zeigt sich innerhalb von zwei Wochen.
preparation-task-bedding = Unterlage am Wurfplatz wechseln
preparation-why-bedding = Sauber und trocken.
preparation-task-pen = Auslauf reinigen
preparation-why-pen = Die Welpen fressen jetzt und laufen umher.
preparation-task-claws = Krallen der Welpen schneiden
preparation-why-claws = Krallen zerkratzen das Gesäuge.
preparation-task-consumables = Verbrauchsmaterial mit der Liste abgleichen
preparation-why-consumables = Was zur Neige geht, wird rechtzeitig gekauft.
supply-whelping-box = Wurfkiste
supply-thermometer = Thermometer
supply-scale = Waage, auf 1 g genau
supply-heat-source = Wärmequelle
supply-room-thermometer = Thermometer für das Nest
supply-towels = Handtücher
supply-fleece = Waschbare Unterlagen
supply-collars = Welpenhalsbänder in verschiedenen Farben
supply-scissors = Stumpfe Schere, ausgekocht
supply-cord-thread = Faden oder Klemmen für Nabelschnüre
supply-cord-disinfectant = Desinfektionsmittel für Nabelschnüre
supply-gloves = Handschuhe
supply-pads = Saugfähige Unterlagen
supply-milk-replacer = Ersatzmilch für Welpen
supply-feeding-set = Milchflasche oder Sondenset
supply-liners = Einlagen für den Auslauf
supply-cleaner = Für Welpen unbedenklicher Reiniger
supply-pup-bowls = Näpfe für das Absetzen
supply-unit-piece = Stück
supply-units-piece = Stück
supply-unit-bottle = Flasche
supply-units-bottle = Flaschen
supply-unit-pair = Paar
supply-units-pair = Paar
supply-unit-tin = Dose
supply-units-tin = Dosen
supply-unit-set = Set
supply-units-set = Sets
supply-unit-litre = Liter
supply-units-litre = Liter

## Bereit zur Abgabe

readiness-rule-minimum-age = das Mindestalter
readiness-rule-weight-reached = das Mindestgewicht
readiness-rule-gaining = die Gewichtszunahme
readiness-rule-weaned = das Absetzen
readiness-rule-worming = die Entwurmung
readiness-rule-vaccination = die Impfung
readiness-rule-microchip = die Kennzeichnung mit Chip
readiness-rule-examination = die tierärztliche Untersuchung
readiness-rule-paperwork = die Papiere
readiness-rule-balance-paid = die Zahlung
readiness-rule-border = die Grenze
readiness-border-elsewhere = Das richtet sich nach dem Land, in das der Welpe geht.
readiness-no-birth = Der Tag der Geburt ist nicht aufgeschrieben.
readiness-age-weeks = { $weeks ->
    [one] { $weeks } Woche
   *[other] { $weeks } Wochen
}
readiness-age-days = { $days ->
    [one] { $days } Tag
   *[other] { $days } Tage
}
readiness-age-months = { $months ->
    [one] { $months } Monat
   *[other] { $months } Monate
}
readiness-age-at-least = { $weeks ->
    [one] { $weeks } volle Woche
   *[other] { $weeks } volle Wochen
} alt; verlangt sind mindestens { $age } ({ $scope }): ab dem { $first_day }.
readiness-age-more-than = { $weeks ->
    [one] { $weeks } volle Woche
   *[other] { $weeks } volle Wochen
} alt; verlangt sind mehr als { $age } ({ $scope }): ab dem { $first_day }.
readiness-no-weight = Es ist kein Gewicht aufgeschrieben; wieg den Welpen.
readiness-weight-reached = { $weight_g } g am { $on }; verlangt sind { $least_g } g.
readiness-weight-forecast = { $weight_g } g am { $on }; verlangt sind { $least_g } g: nach seinem Wachstum etwa am { $likely } ({ $earliest } bis { $latest }).
readiness-weight-no-forecast = { $weight_g } g am { $on }; verlangt sind { $least_g } g; für eine Vorhersage sind es zu wenige Gewichte.
readiness-gain-unknown = Zu wenige Gewichte, um es zu sagen; wieg den Welpen an zwei Tagen.
readiness-gain-none = Bis zum letzten Wiegen am { $on } hat er nicht zugenommen.
readiness-gain-stale = Er hat zugenommen, wurde aber zuletzt vor { $days ->
    [one] { $days } Tag
   *[other] { $days } Tagen
} gewogen; wieg ihn wieder.
readiness-gain = Bis zum letzten Wiegen am { $on } hat er zugenommen.
readiness-weaned = Abgesetzt am { $on }.
readiness-to-be-weaned = Soll am { $on } abgesetzt werden.
readiness-weaning-assumed = Es ist kein Tag des Absetzens aufgeschrieben; der Tag ist der im üblichen Alter.
readiness-weaning-unknown = Weder Geburt noch Absetzen sind aufgeschrieben.
readiness-no-plan = Kein geltender Gesundheitsplan verlangt es vor der Abgabe; wähl einen Plan.
readiness-step-undated = { $step } lässt sich nicht datieren; es fehlt: { $lacks }.
readiness-step-anchor = wovon an gezählt wird
readiness-steps-done = Wie geplant; zuletzt am { $on }.
readiness-steps-none = Bis jetzt war nichts geplant.
readiness-step-late = { $step }: überfällig seit dem { $on }
readiness-step-planned = { $step }: geplant für den { $on }
readiness-step-late-why = { $step }: überfällig seit dem { $on } ({ $why })
readiness-step-planned-why = { $step }: geplant für den { $on } ({ $why })
readiness-open = { $parts }.
readiness-chip = Chip { $number }.
readiness-chip-old = { $number } ist älter als ISO 11784; verlangt ist ein ISO-Chip.
readiness-chip-wrong = Die Chipnummer: { $fault }.
readiness-chip-no-number = Er wurde gechippt, aber es ist keine Nummer aufgeschrieben.
readiness-chip-none = Es ist keine Chipnummer aufgeschrieben.
readiness-no-paper-asked = Es ist kein Papier verlangt.
readiness-paper-missing = Es fehlt: { $paper }
readiness-paper-too-new = { $paper } (vom { $on }): muss { $days ->
    [one] { $days } Tag
   *[other] { $days } Tage
} alt sein
readiness-papers-there = Vorhanden: { $papers }.
readiness-no-sale = Es ist kein Verkauf aufgeschrieben, also ist nichts offen.
readiness-no-price = Ein Verkauf ist aufgeschrieben, aber kein Preis.
readiness-nothing-owed = Es ist nichts offen.
readiness-owed = Offen sind { $sum }.
readiness-something-owed = Es ist noch etwas offen.
readiness-owed-unknown = Es ist nicht bekannt, ob etwas offen ist.
readiness-pups-passing = { $passing } von { $count ->
    [one] { $count } Welpe
   *[other] { $count } Welpen
}.
border-asks-months = mindestens { $months ->
    [one] { $months } Monat
   *[other] { $months } Monate
} alt
border-asks-age = mindestens { $age } alt
border-asks-rabies-weeks = Tollwutimpfung frühestens mit { $weeks } Wochen und danach { $wait_days } Tage Wartezeit
border-asks-rabies-days = Tollwutimpfung frühestens mit { $days } Tagen und danach { $wait_days } Tage Wartezeit
border-crossed = Geht nach { $country }: { $asked }: ab dem { $on }.
border-no-dose = Eine solche Impfung ist nicht aufgeschrieben.
border-ask = Frag die Behörde von { $country } und einen Tierarzt, bevor du einen Tag zusagst: Der Welpe geht ins Ausland.
border-listed = Verzeichnet für einen Welpen { $border }, zuletzt gelesen am { $checked_on }: { $note }
border-unconfirmed = Nicht bestätigt.
border-called = die Grenze { $border }
border-not-found = Gesucht am { $looked_on }, keine Angabe gefunden: { $looked_at }.
border-unlisted = Für diese Grenze sind vom Land des Zwingers aus keine Regeln verzeichnet.
go-home-law-none = Frag nach, was dein Gesetz sagt: Es gelten strenge Vorgaben.
go-home-law-none-why = Für das Rechtsgebiet "{ $jurisdiction }" sind keine Regeln verzeichnet.
go-home-law-unconfirmed = Frag nach, was dein Gesetz sagt: Eine Regel, die für dein Rechtsgebiet verzeichnet ist, ist nicht bestätigt.
go-home-law-unconfirmed-why = Sie betrifft { $rule }; für wen: { $scope }.
go-home-law-nothing-found = Gesucht am { $looked_on }, nichts gefunden über { $rules }.
go-home-law-not-looked-for = Nicht gesucht nach Regeln über { $rules }.
go-home-law-ask = Frag nach, was das Gesetz über { $rules } sagt ({ $jurisdiction }).
go-home-too-young = Lass den Welpen bei der Mutter: Über das Alter entscheidet das örtliche Recht, über Ausnahmen ein Tierarzt.
go-home-too-young-why = Das Mindestalter ist nicht erreicht.
go-home-set-aside = Die Regel über { $rule } hat { $by } am { $on } ausgesetzt.
go-home-set-aside-why = { $detail } Grund: { $reason }
readiness-scope-kennel = dieser Zwinger
fault-out-of-range-override-reason = muss sagen, warum, mit 10 bis 1000 Zeichen
fault-missing-override-by = muss nennen, wer entschieden hat
fault-in-future-override = liegt nach heute ({ $today })
fault-out-of-range-kennel-age = darf höchstens { $most_weeks } Wochen sein
fault-by-law-kennel-age = liegt unter dem Mindestalter im Rechtsgebiet des Zwingers
fault-out-of-range-kennel-weight = muss zwischen 1 und 100000 g liegen
fault-missing-kennel-paper = braucht ein Papier, einen Namen und days_before von höchstens 365
fault-by-law-left-out = verlangt das Gesetz; ein Inhaber kann es für einen einzelnen Welpen mit einem Grund aussetzen
border-name-at = nach Österreich
border-name-au = nach Australien
border-name-au-nz = von Neuseeland nach Australien
border-name-ca = nach Kanada
border-name-ch = in die Schweiz
border-name-eu = von außerhalb in die Europäische Union
border-name-eu-eu = von einem Mitgliedstaat der Europäischen Union in einen anderen
border-name-gb = nach Großbritannien
border-name-no = nach Norwegen
border-name-us = in die Vereinigten Staaten
border-note-at = Einzelne Tiere können aus besonderem Grund jünger eingelassen werden: Frag die Behörde.
border-note-au = Die Tage zählen ab der Blutprobe, also ab einem späteren Tag als der Impfung. Einfuhrgenehmigung, mindestens 10 Tage Quarantäne; nur aus zugelassenen Ländern.
border-note-au-nz = Es gelten andere, leichtere Regeln als für den Rest der Welt: Frag das Ministerium.
border-note-ca = Unter 8 Monaten zum Verkauf: aus einem registrierten Zwinger, mit Einfuhrgenehmigung, Chip, Gesundheitszeugnis und Nachweis der Tollwutimpfung; ein Heimtier braucht die Impfung ab 3 Monaten.
border-note-ch = Nach Seiten von 2018 bis 2021 darf ein Halter einen jüngeren Welpen, ab 8 Wochen, mit einer Erklärung mitbringen: Frag nach. Kein Hund mit kupierten Ohren oder kupierter Rute.
border-note-eu = Aus einem nicht gelisteten Land auch ein Antikörpertest, 30 Tage nach der Impfung und drei Monate vor der Reise.
border-note-eu-eu = Chip vor der Impfung, Heimtierausweis, und für einen Verkauf ein registrierter Zwinger und ein Gesundheitszeugnis; nach Finnland, Irland und Malta auch eine Behandlung gegen Echinococcus durch einen Tierarzt, 24 bis 120 Stunden vorher. Finnland lässt keinen Welpen unter sechs Monaten ein, der innerhalb von vier Monaten verkauft oder weitergegeben werden soll.
border-note-gb = Behandlung gegen Bandwürmer 24 bis 120 Stunden vorher. Ein Mindestalter von sechs Monaten war in einem Gesetzentwurf geplant; in Kraft wurde es nicht gefunden. Nach Nordirland gelten andere Regeln.
border-note-no = Behandlung gegen Echinococcus 24 bis 120 Stunden vorher; einige Rassen sind verboten. Kein junger Welpe ohne die Impfung.
border-note-us = Chip, bei der Ankunft gesund, Bestätigung des CDC Dog Import Form; aus einem Land mit hohem Tollwutrisiko mehr.
border-looked-at-nz = die Einfuhrvorschrift von 2006, nur ihr Anfang
go-home-about-au = Jeder Bundesstaat hat ein eigenes Gesetz: Verzeichnet sind Neusüdwales, Victoria und Queensland; in Südaustralien, Westaustralien, Tasmanien und dem Hauptstadtterritorium wurde gesucht und nichts gefunden; im Nordterritorium wurde nicht gesucht.
go-home-about-be-wal = Der Erlass der wallonischen Regierung vom 24. November 2022, in Kraft seit dem 1. März 2023, regelt das; nur sein Anfang war zu lesen. Ein Entwurf von 2019 nannte 10 Wochen als Mindestalter.
go-home-about-ca = Jede Provinz hat ein eigenes Gesetz: Verzeichnet sind Ontario und Québec; in Neuschottland wurde gesucht und nichts gefunden; in den anderen wurde nicht gesucht.
go-home-about-de = Die Tierschutz-Hundeverordnung des Bundes wurde ganz gelesen; nach dem Recht der Länder wurde nicht gesucht.
go-home-about-fi = Die Regierungsverordnung 674/2010 über Hunde und Katzen galt 2024 noch neben dem Tierschutzgesetz 693/2023; ihr Wortlaut wurde nicht gefunden.
go-home-about-fr = Was für eine Abgabe ohne Bezahlung gilt, wurde nicht gelesen.
go-home-about-it = Nach dem Recht der Regionen wurde nicht gesucht; die Lombardei verlangt 60 Tage.
go-home-about-lu = Jeder Hund wird innerhalb von vier Monaten nach der Geburt mit gültiger Tollwutimpfung bei der Gemeinde gemeldet (Gesetz vom 9. Mai 2008, Art. 3).
go-home-about-no = Die Lebensmittelbehörde hat 2022 und 2023 Regeln vorgeschlagen (8 Wochen bei der Mutter, Welpen vom Tierarzt untersucht, Chip und Register für alle Hunde); in Kraft wurde keine gefunden.
go-home-about-pl = Ustawa o ochronie zwierząt, Art. 10a (Wortlaut gelesen): Hunde werden zum Verkauf nur in Zwingern landesweiter Züchterverbände gezüchtet und nur dort verkauft, wo sie gezüchtet wurden. Eine Chippflicht war 2024 geplant; in Kraft wurde keine gefunden.
go-home-jurisdiction-at = Österreich
go-home-jurisdiction-au = Australien
go-home-jurisdiction-au-nsw = Neusüdwales
go-home-jurisdiction-au-qld = Queensland
go-home-jurisdiction-au-vic = Victoria
go-home-jurisdiction-be-vlg = Flandern
go-home-jurisdiction-be-wal = Wallonien
go-home-jurisdiction-ca = Kanada
go-home-jurisdiction-ca-on = Ontario
go-home-jurisdiction-ca-qc = Québec
go-home-jurisdiction-ch = Schweiz
go-home-jurisdiction-cz = Tschechien
go-home-jurisdiction-de = Deutschland
go-home-jurisdiction-dk = Dänemark
go-home-jurisdiction-es = Spanien
go-home-jurisdiction-fi = Finnland
go-home-jurisdiction-fr = Frankreich
go-home-jurisdiction-gb-eng = England
go-home-jurisdiction-gb-nir = Nordirland
go-home-jurisdiction-gb-sct = Schottland
go-home-jurisdiction-gb-wls = Wales
go-home-jurisdiction-ie = Irland
go-home-jurisdiction-it = Italien
go-home-jurisdiction-lu = Luxemburg
go-home-jurisdiction-nl = Niederlande
go-home-jurisdiction-no = Norwegen
go-home-jurisdiction-nz = Neuseeland
go-home-jurisdiction-pl = Polen
go-home-jurisdiction-pt = Portugal
go-home-jurisdiction-se = Schweden
go-home-jurisdiction-us = Vereinigte Staaten von Amerika
go-home-jurisdiction-us-az = Arizona
go-home-jurisdiction-us-ca = Kalifornien
go-home-jurisdiction-us-co = Colorado
go-home-jurisdiction-us-ct = Connecticut
go-home-jurisdiction-us-fl = Florida
go-home-jurisdiction-us-il = Illinois
go-home-jurisdiction-us-me = Maine
go-home-jurisdiction-us-ne = Nebraska
go-home-jurisdiction-us-nv = Nevada
go-home-jurisdiction-us-pa = Pennsylvania
go-home-jurisdiction-us-tx = Texas
go-home-jurisdiction-us-va = Virginia
go-home-jurisdiction-us-wi = Wisconsin
go-home-note-at-microchip = Bis zum Alter von 3 Monaten, jedenfalls vor der ersten Weitergabe; die Datenbank erfährt es innerhalb eines Monats.
go-home-note-at-minimum-age = Trennung, wenn älter als 8 Wochen; Ausnahme durch einen Tierarzt.
go-home-note-au-nsw-microchip = Bis zu 12 Wochen oder vor dem Verkauf, je nachdem, was früher ist; unter 6 Monaten nur mit Chipnummer und Kennnummer des Züchters inseriert.
go-home-note-au-qld-microchip = Mit der Züchternummer; der Züchter registriert innerhalb von 28 Tagen nach der Geburt.
go-home-note-be-vlg-microchip = Gekennzeichnet und registriert, bevor er verkauft wird.
go-home-note-be-vlg-vaccination = Erste Impfung gegen Parvovirose, Staupe, Zwingerhusten (Bordetella und Parainfluenza) und ansteckende Leberentzündung.
go-home-note-ca-on-minimum-age = Trennung von der Mutter.
go-home-note-ca-qc-minimum-age = Der Wurf wird vorher nicht von der Mutter getrennt.
go-home-note-ch-microchip = Innerhalb von 3 Monaten nach der Geburt, jedenfalls vor der Weitergabe, durch einen in der Schweiz tätigen Tierarzt.
go-home-note-ch-minimum-age = Früheste Trennung von Mutter oder Amme: 56 Tage.
go-home-note-cz-microchip = Bis zum Alter von 6 Monaten.
go-home-note-de-minimum-age = Trennung von der Mutter nur, wenn älter als 8 Wochen; Ausnahme durch einen Tierarzt, Geschwister bleiben dann bis zu 8 Wochen zusammen.
go-home-note-dk-microchip = Vor 8 Wochen gekennzeichnet und registriert, also durch den Züchter; auch eine Tätowierung ist eine Kennzeichnung.
go-home-note-es-microchip = Vor dem Verkauf gekennzeichnet und auf den Verkäufer registriert.
go-home-note-es-minimum-age = Von anderswo verkauft: vier Monate. Nach dem Recht der autonomen Gemeinschaften wurde nicht gesucht.
go-home-note-es-paperwork = Nur registrierte Züchter verkaufen; der Verkauf wird innerhalb von drei Werktagen gemeldet.
go-home-note-es-vaccination = Mit den Behandlungen, die für sein Alter Pflicht sind.
go-home-note-fi-microchip = Bis zu 3 Monaten gechippt und registriert, oder bevor er an einen neuen Halter geht.
go-home-note-fr-examination = Ein tierärztliches Zeugnis.
go-home-note-fr-microchip = Vor jeder Weitergabe gekennzeichnet, sonst vor 4 Monaten.
go-home-note-fr-minimum-age = Nur, wenn älter als 8 Wochen.
go-home-note-gb-eng-microchip = Bis zu 8 Wochen gechippt und in einer zugelassenen Datenbank, der Züchter als erster Halter.
go-home-note-gb-eng-minimum-age = Kein Verkauf und keine dauernde Trennung von der Mutter unter 8 Wochen; Ausnahme aus Gesundheitsgründen.
go-home-note-gb-eng-paperwork = Ein Züchter mit Lizenz nennt dem Käufer auch Alter, Geschlecht und tierärztliche Unterlagen des Welpen (SI 2018/486 Sch. 6 para 1(4)).
go-home-note-gb-nir-microchip = Vor 8 Wochen gechippt.
go-home-note-gb-nir-paperwork = Der Inhaber der Lizenz ist der erste eingetragene Eigentümer und gibt dem neuen, was die Datenbank verlangt.
go-home-note-gb-sct-microchip = Bis zu 8 Wochen gechippt und registriert, zuerst auf den Züchter; vorher wechselt kein Hund den Halter.
go-home-note-ie-microchip = Bis zu 12 Wochen, oder bevor er seinen Geburtsort verlässt.
go-home-note-ie-minimum-age = Auch nicht, bevor er abgesetzt ist.
go-home-note-ie-paperwork = Der Verkäufer gibt die Bescheinigung der Registrierung mit.
go-home-note-lu-microchip = Innerhalb von vier Monaten nach der Geburt.
go-home-note-nl-microchip = Innerhalb von 7 Wochen nach der Geburt gechippt und mit Heimtierausweis; der Züchter meldet die Geburt innerhalb einer Woche nach dem Chippen und bevor der Welpe auszieht.
go-home-note-nl-minimum-age = Trennung von der Mutter; Ausnahme aus Gesundheitsgründen.
go-home-note-nl-paperwork = Kein Hund wechselt den Besitzer ohne Chip, Registrierung und Heimtierausweis.
go-home-note-nz-microchip = Bei der Registrierung, bis zu 3 Monaten.
go-home-note-pt-microchip = Innerhalb von 120 Tagen nach der Geburt.
go-home-note-se-microchip = Bis zu 4 Monaten gekennzeichnet und registriert.
go-home-note-us-co-minimum-age = Verkauft, übertragen oder vermittelt.
go-home-note-us-ct-minimum-age = Unter 8 Wochen zum Verkauf nur mit der Mutter in den Staat oder aus ihm gebracht.
go-home-note-us-il-minimum-age = Vorher nicht von der Mutter getrennt.
go-home-note-us-nv-minimum-age = Das Spätere von 8 Wochen und selbstständigem Fressen.
go-home-note-us-nv-weaned = Das Spätere von 8 Wochen und selbstständigem Fressen.
go-home-note-us-tx-minimum-age = Verkauft, getauscht oder verschenkt.
go-home-note-us-weaned = Seit mindestens 5 Tagen an fester Nahrung.
go-home-paper-certificate-of-guarantee = Garantiebescheinigung
go-home-paper-certificate-of-registration-of-an-authorised-database = Registrierungsbescheinigung einer zugelassenen Datenbank
go-home-paper-european-pet-passport = EU-Heimtierausweis
go-home-paper-knowledge-certificate-signed-by-the-buyer = Sachkundebescheinigung, vom Käufer unterschrieben
go-home-paper-passport-with-the-breeder-s-particulars = Heimtierausweis mit den Angaben des Züchters
go-home-paper-registration-in-the-breeder-s-name = Registrierung auf den Namen des Züchters
go-home-paper-registration-in-the-seller-s-name = Registrierung auf den Namen des Verkäufers
go-home-paper-registration-of-the-chip = Registrierung des Chips
go-home-paper-registration-of-the-chip-on-a-compliant-database = Registrierung des Chips in einer zugelassenen Datenbank
go-home-paper-signed-contract = unterschriebener Vertrag
go-home-paper-transfer-document = Übergabebescheinigung
go-home-paper-veterinarian-s-certificate = tierärztliches Zeugnis
go-home-paper-written-contract-of-sale = schriftlicher Kaufvertrag
go-home-paper-written-instructions-on-feeding-and-care = schriftliche Anleitung zu Fütterung und Pflege
go-home-scope-any-person = jede Person
go-home-scope-any-person-firm-or-corporation = jede Person, Firma oder Gesellschaft
go-home-scope-any-person-or-entity = jede Person oder Körperschaft
go-home-scope-any-person-unless-a-veterinarian-approves = jede Person, außer ein Tierarzt stimmt zu
go-home-scope-any-transfer = jede Weitergabe
go-home-scope-anyone = alle
go-home-scope-anyone-a-dam-with-her-pups-may-go-together = alle; eine Hündin darf mit ihren Welpen zusammen abgegeben werden
go-home-scope-anyone-who-advertises = alle, die inserieren
go-home-scope-anyone-who-breeds = alle, die züchten
go-home-scope-anyone-who-breeds-registered-to-the-licence-holder-before-sale-for-licensed-breeders = alle, die züchten; bei Züchtern mit Lizenz vor dem Verkauf auf den Inhaber der Lizenz registriert
go-home-scope-anyone-who-keeps-a-dog = alle, die einen Hund halten
go-home-scope-anyone-who-sells = alle, die verkaufen
go-home-scope-anyone-who-sells-or-gives-away = alle, die verkaufen oder verschenken
go-home-scope-anyone-who-sells-or-supplies = alle, die verkaufen oder abgeben
go-home-scope-breeders-and-dealers = Züchter und Händler
go-home-scope-dog-dealers-kennel-operators = Hundehändler, Betreiber von Zwingern
go-home-scope-kennels-with-recognition = anerkannte Zwinger
go-home-scope-kennels-with-recognition-three-litters-a-year-and-more = anerkannte Zwinger (drei Würfe im Jahr und mehr)
go-home-scope-licensed-breeders = Züchter mit Lizenz
go-home-scope-licensed-establishments = Betriebe mit Lizenz
go-home-scope-pet-dealers = Tierhändler
go-home-scope-pups-that-are-sold = Welpen, die verkauft werden
go-home-scope-re-homing = Vermittlung in ein neues Zuhause
go-home-scope-retailers-dealers-operators = Läden, Händler, Betreiber
go-home-scope-sale = Verkauf
go-home-scope-sale-from-where-it-was-born = Verkauf am Ort der Geburt
go-home-scope-see-the-table-8-weeks-for-transport-in-commerce-9-cfr-2-130 = siehe die Tabelle; 8 Wochen für den gewerblichen Transport (9 CFR 2.130)
go-home-scope-sellers = Verkäufer
go-home-scope-strict-default = strenge Vorgabe
go-home-scope-strict-default-where-no-law-is-listed = strenge Vorgabe, wo kein Gesetz verzeichnet ist
go-home-scope-transfer-for-payment = Abgabe gegen Bezahlung
go-home-scope-transport-in-commerce-animal-welfare-act = gewerblicher Transport (Animal Welfare Act)

## Berichte

fault-not-found-money-litter = ist für einen Wurf, der nicht angegeben ist
fault-out-of-range-money-total = macht die Summe zu groß

## Begleitheft

booklet-lacks-name = der eingetragene Name
booklet-lacks-sex = das Geschlecht
booklet-lacks-colour = die Farbe
booklet-lacks-birth = der Tag der Geburt
booklet-lacks-chip = die Chipnummer
booklet-lacks-register = ein Eintrag in einem Zuchtbuch
booklet-lacks-sire = der Vater
booklet-lacks-dam = die Mutter
booklet-lacks-birth-weight = das Geburtsgewicht
booklet-lacks-weight = jedes Gewicht
booklet-lacks-worming = jede Entwurmung
booklet-lacks-vaccination = jede Impfung
booklet-lacks-examination = eine tierärztliche Untersuchung
booklet-lacks-contact = wie der Zwinger zu erreichen ist
booklet-lacks-worming-batch = die Charge der Entwurmung vom { $on }
booklet-lacks-vaccination-batch = die Charge der Impfung vom { $on }

## Was wiederkehrt: Rat, Zeiten, Spannen, Mengen

standing-line = Anhaltspunkte aus veröffentlichten Quellen; es entscheiden der Tierarzt und das örtliche Recht.
clock-on-day = { $time } Uhr am { $day_of_month }. { $month ->
    [1] Januar
    [2] Februar
    [3] März
    [4] April
    [5] Mai
    [6] Juni
    [7] Juli
    [8] August
    [9] September
    [10] Oktober
    [11] November
   *[12] Dezember
}
span-minutes = { $minutes } min
span-hours = { $hours } h
span-hours-minutes = { $hours } h { $minutes } min
amount-minutes = { $amount } { $amount ->
    [one] Minute
   *[other] Minuten
}
amount-hours = { $amount } { $amount ->
    [one] Stunde
   *[other] Stunden
}
amount-days = { $amount } { $amount ->
    [one] Tag
   *[other] Tage
}
amount-of = { $amount } { $unit }
signed-up = +{ $figure }
signed-down = { $figure }
list-semicolon = { $begin }; { $end }
label-the-dam = die Hündin
label-litter = Wurf

## Fehler in dem, was über Hündin und Welpen aufgeschrieben wird

fault-in-future-device-clock = liegt in der Zukunft (jetzt ist { $now }); prüf die Uhr des Geräts
fault-in-future-reading = liegt nach jetzt ({ $now })
fault-out-of-range-dam-celsius = muss { $from } bis { $to } Grad Celsius sein
fault-out-of-range-dam-fahrenheit = muss in Celsius stehen; { $fahrenheit } Fahrenheit sind { $celsius }
fault-out-of-range-pup-celsius = muss in Grad Celsius stehen, { $from } bis { $to }
fault-out-of-range-pup-fahrenheit = muss in Grad Celsius stehen; { $fahrenheit } Fahrenheit sind { $celsius }
fault-out-of-range-reading-celsius = muss von { $from } bis { $to } °C sein
fault-out-of-range-reading-fahrenheit = muss von { $from } bis { $to } °C sein; { $fahrenheit } °F wären { $celsius } °C
fault-out-of-range-placentas = muss { $from } bis { $to } sein
fault-empty-given = muss sagen, was gegeben wurde
fault-empty-log-note = ist leer
fault-only-together-given-ordinal = ist die Nummer eines Welpen; sag "given_to": "pup" dazu oder lass sie weg
fault-out-of-range-pups-most = darf höchstens { $most } sein
fault-disordered-pup-count = muss mindestens count_at_least ({ $count_at_least }) sein
fault-out-of-range-no-pups = keine Welpen heißt, dass es keinen Wurf gibt
fault-out-of-range-earlier-litter = muss von { $from } bis { $to } sein
fault-out-of-range-inbreeding-share = muss von { $from } bis { $to } sein
fault-out-of-range-adult-weight-above = muss über { $above_g } g sein

## Die Nacht der Geburt

alarm-night-reached-now = Ruf jetzt den Tierarzt: { $what }.
alarm-night-reached-advice = Frag den Tierarzt am Telefon um Rat: { $what }.
alarm-night-reached-note = Schreib auf, ob alle geboren sind, und beobachte sie: { $what }.
alarm-night-waiting-call = Ruf den Tierarzt um { $at }, wenn sich bis dahin nichts geändert hat ({ $what }).
alarm-night-waiting-advice = Frag den Tierarzt um { $at } am Telefon um Rat, wenn sich bis dahin nichts geändert hat ({ $what }).
alarm-night-waiting-note = Schreib um { $at } auf, ob alle geboren sind, und beobachte sie, wenn sich bis dahin nichts geändert hat ({ $what }).
alarm-night-limit-why = Bisher { $span }; die Grenze ist { $limit }.
limit-strong-straining = sie presst stark und kein Welpe ist gekommen
limit-weak-contractions = schwache Wehen und kein Welpe
limit-no-pup-since = kein Welpe seit dem letzten
limit-no-pup-and-open = kein Welpe seit dem letzten, und niemand hat geschrieben, dass alle geboren sind; eine Zählung kann einen übersehen
limit-waters = die Fruchtblase ist geplatzt und kein Welpe ist gekommen
limit-active-labour-long = die Austreibung dauert lange, und Welpen, die später kommen, werden öfter tot geboren
limit-second-stage-long = die Austreibungsphase dauert zu lange
limit-green-discharge = grüner oder schwarzer Ausfluss vor dem ersten Welpen
limit-first-stage = die Öffnungsphase dauert an, ohne dass sie presst
alarm-night-written-at = Aufgeschrieben um { $at }.
alarm-night-pup-stuck = Ruf jetzt den Tierarzt: Ein Welpe steckt fest.
alarm-night-collapse = Ruf jetzt den Tierarzt: Sie ist zusammengebrochen.
alarm-night-severe-pain = Ruf jetzt den Tierarzt: Sie hat starke Schmerzen.
alarm-night-heavy-bleeding = Ruf jetzt den Tierarzt: Sie blutet stark.
alarm-night-fits = Ruf jetzt den Tierarzt: Sie krampft oder ist steif.
alarm-night-foul-discharge = Übelriechender Ausfluss: Ruf heute den Tierarzt an, jetzt gleich, wenn sie matt ist oder Fieber hat.
alarm-night-bright-red = Ruf jetzt den Tierarzt: hellroter Ausfluss, außer es sind nur ein paar Tropfen.
alarm-night-stillborn-more = Ruf jetzt den Tierarzt: Welpen kommen nacheinander tot zur Welt, und es können noch mehr kommen.
alarm-night-stillborn-over = Ruf heute den Tierarzt an: Welpen kamen nacheinander tot zur Welt; lass die Hündin und die lebenden Welpen untersuchen.
alarm-night-stillborn-why = { $count } nacheinander.
alarm-night-fewer-silent = Es sind weniger Welpen geboren, als gezählt wurden: Lass den Tierarzt nachsehen, ob noch einer in ihr ist, oder berichtige die Zählung.
alarm-night-fewer-closed = Ruf jetzt den Tierarzt: Es sind weniger Welpen geboren, als gezählt wurden, es kann noch einer in ihr sein.
alarm-night-fewer-why = { $out } geboren, mindestens { $counted } gezählt.
alarm-night-placentas-missing = Nachgeburten fehlen: Sag es dem Tierarzt, miss ihre Temperatur und beobachte den Ausfluss (sie kann sie gefressen haben).
alarm-night-placentas-count = Es sind weniger Nachgeburten als Welpen aufgeschrieben: Zähl weiter (zwei Welpen können vor zwei Nachgeburten kommen, und sie kann sie fressen).
alarm-night-placentas-why = { $missing } nicht gesehen, { $span } nach dem letzten Welpen; meist kommen sie innerhalb von { $limit_hours } h.
alarm-night-calcium = Vor dem ersten Welpen wurde Calcium gegeben: Sag es dem Tierarzt, es kann später zu Calciummangel führen.
alarm-night-calcium-why = Gegeben um { $at }.
alarm-night-double = Welpe { $one } und Welpe { $other } können ein und derselbe sein, zweimal aufgeschrieben: Sieh nach, und lösch einen oder sag, was sie unterscheidet.
alarm-night-double-why = { $seconds } s nacheinander geboren; Geschlecht, Halsband, Farbe und Gewicht unterscheiden sich nicht.
whelping-lacks-count = eine Zählung der Welpen: ohne sie kann niemand sagen, ob alle geboren sind
whelping-lacks-day = der Tag der Trächtigkeit
whelping-lacks-log = irgendein Eintrag im Protokoll

## Vor der Geburt

alarm-overdue-call = Sie ist überfällig: Ruf jetzt den Tierarzt.
alarm-overdue-ring = Sie ist überfällig: Ruf heute den Tierarzt an und lass die Hündin und die Welpen untersuchen.
alarm-overdue-soon = Wenn sie bis zum { $ring_on } nicht geworfen hat, lass den Tierarzt Hündin und Welpen untersuchen.
alarm-overdue-why = { $days ->
    [one] { $days } Tag
   *[other] { $days } Tage
} { $from }; angerufen wird der Tierarzt ab dem { $ring_on }.
alarm-overdue-why-and-called = { $days ->
    [one] { $days } Tag
   *[other] { $days } Tage
} { $from }; angerufen wird der Tierarzt ab dem { $ring_on }, sofort gerufen ab dem { $call_on }.
overdue-from-lh-surge = ab dem LH-Anstieg
overdue-from-progesterone-rise = ab dem ersten Anstieg des Progesterons
overdue-from-ovulation = ab dem Eisprung
overdue-from-dioestrus = ab dem ersten Tag des Diöstrus
overdue-from-ultrasound = ab dem Wurftermin nach Ultraschall
overdue-from-forecast = ab dem Wurftermin, den der Tierarzt vorhergesagt hat
overdue-from-first-mating = ab dem ersten Deckakt
overdue-from-window = ab dem Ende der Zeit, in der der Wurf erwartet wird
alarm-too-early-born-now = Ruf jetzt den Tierarzt: Die Welpen kommen zu früh zur Welt; halt sie warm und achte auf ihre Atmung.
alarm-too-early-born-today = Die Welpen kommen früh zur Welt: Ruf heute den Tierarzt an, halt sie warm und sieh zu, dass jeder saugt und leicht atmet.
alarm-too-early-labour-now = Ruf jetzt den Tierarzt: Die Geburt beginnt zu früh.
alarm-too-early-labour = Die Geburt beginnt früh: Ruf den Tierarzt an, bevor der erste Welpe kommt.
alarm-too-early-why = Tag { $day } der Trächtigkeit; vor Tag { $limit_day } ist es früh.
alarm-temperature-low-early = Ihre Temperatur war schon vor den Tagen um den Wurftermin niedrig: Miss wieder zweimal am Tag.
alarm-temperature-fell-a-day-ago = Ruf jetzt den Tierarzt: Ihre Temperatur ist vor einem Tag gefallen und die Geburt hat nicht begonnen, ob sie nun wieder gestiegen ist oder nicht.
alarm-temperature-labour-near = Die Geburt steht bevor: Lass sie nicht allein, halt alles bereit und ruf den Tierarzt um { $at }, wenn sie nicht begonnen hat.
alarm-temperature-fell-why = Vor { $hours } Stunden gefallen; die Grenze sind { $limit_hours } Stunden.
alarm-progesterone-low = Ruf heute den Tierarzt an: Das Progesteron ist niedrig und die Geburt hat nicht begonnen.
alarm-progesterone-labour-near = Das Progesteron ist niedrig, die Geburt steht bevor: Ruf den Tierarzt um { $at }, wenn sie nicht begonnen hat.
alarm-progesterone-why = { $ng_per_ml } ng/ml vor { $ago }; die Grenze ist { $limit_ng_per_ml } ng/ml.
temperature-too-few = Zu wenige Messungen, um zu wissen, was bei ihr üblich ist.
temperature-steady = Bisher kein Abfall: Das macht die Geburt heute weniger wahrscheinlich, aber bei { $percent } % der Hündinnen sieht man keinen.
temperature-possible-fall = Eine niedrige Messung: Miss innerhalb der nächsten Stunde noch einmal.
temperature-fall = Der Abfall vor der Geburt: Dass sie innerhalb von 24 Stunden wirft, hat eine Wahrscheinlichkeit von { $percent } %.
temperature-recovered = Sie ist gefallen und wieder gestiegen: Die Geburt sollte im Gang sein oder bevorstehen.
alarm-temperature-fever = Die Hündin hat Fieber: Ruf jetzt den Tierarzt.
alarm-temperature-fever-why = { $temperature_c } °C; die Grenze ist { $limit_c } °C.
alarm-temperature-untaken = Miss jetzt ihre Temperatur: Ein Abfall dazwischen kann übersehen worden sein.
alarm-temperature-untaken-why = Letzte Messung vor { $hours } Stunden.

## Das Blatt an der Wurfkiste

whelping-pup-female = Hündin
whelping-pup-male = Rüde
whelping-pup-head-first = Kopf voran
whelping-pup-tail-first = Steiß voran
whelping-pup-points = { $points }
whelping-pup-points-range = { $least } bis { $most }
whelping-pup-stillborn = tot geboren
whelping-pup-helped = { $minutes } min beim Atmen geholfen
whelping-log-temperature = Temperatur { $temperature }
whelping-log-nesting = baut ein Nest
whelping-log-restless = unruhig
whelping-log-panting = hechelt
whelping-log-shivering = zittert
whelping-log-vomiting = erbricht
whelping-log-refuses-food = frisst nicht
whelping-log-seeks-or-hides = sucht Nähe oder verkriecht sich
whelping-log-strong-contractions = starke Wehen
whelping-log-weak-contractions = schwache Wehen
whelping-log-rests = ruht
whelping-log-waters = Fruchtwasser
whelping-log-discharge-clear = klarer Ausfluss
whelping-log-discharge-green-black = grünschwarzer Ausfluss
whelping-log-discharge-red-brown = rotbrauner Ausfluss
whelping-log-discharge-bright-red = hellroter Ausfluss
whelping-log-discharge-foul = übelriechender Ausfluss
whelping-log-discharge-spotting = { $discharge }, ein paar Tropfen
whelping-log-discharge-more = { $discharge }, mehr
whelping-log-given = gegeben: { $what }
whelping-log-given-dam = der Hündin gegeben: { $what }
whelping-log-given-a-pup = einem Welpen gegeben: { $what }
whelping-log-given-pup = Welpe { $pup } gegeben: { $what }
whelping-log-given-amount = { $what }, { $amount }
whelping-log-given-by = { $what } (auf Rat von: { $by })
whelping-log-placentas = Nachgeburten: { $count }
whelping-log-helped = beim Atmen geholfen
whelping-log-helped-for = { $minutes } min beim Atmen geholfen
whelping-log-helped-pup = Welpe { $pup } beim Atmen geholfen
whelping-log-helped-pup-for = Welpe { $pup } { $minutes } min beim Atmen geholfen
whelping-log-breathed = { $helped }, er hat geatmet
whelping-log-not-breathed = { $helped }, er hat nicht geatmet
whelping-log-alarm-pup-stuck = ALARM: Welpe steckt fest
whelping-log-alarm-collapse = ALARM: Zusammenbruch
whelping-log-alarm-severe-pain = ALARM: starke Schmerzen
whelping-log-alarm-heavy-bleeding = ALARM: starke Blutung
whelping-log-alarm-fits = ALARM: Krämpfe
whelping-log-vet-called = Tierarzt gerufen
whelping-log-vet-called-advice = Tierarzt gerufen: { $advice }
whelping-log-caesarean = Kaiserschnitt
whelping-log-finished = alle Welpen sind geboren

## Die Hündin nach der Geburt

alarm-dam-low-calcium-now = Ruf jetzt den Tierarzt: Steifheit, Zittern, Krämpfe oder Fieber einer unruhigen säugenden Hündin können Calciummangel sein. Nimm ihr die Welpen weg.
alarm-dam-low-calcium-today = Unruhig oder hechelnd: Das kann der Beginn von Calciummangel sein, der in Stunden schlimmer wird. Ruf heute den Tierarzt an und achte auf Steifheit oder Zittern.
alarm-dam-low-calcium-why = Tag { $day } nach der Geburt, die übliche Zeit dafür; { $pups ->
    [one] { $pups } Welpe
   *[other] { $pups } Welpen
}.
alarm-dam-low-calcium-why-first = Tag { $day } nach der Geburt, die übliche Zeit dafür; { $pups ->
    [one] { $pups } Welpe
   *[other] { $pups } Welpen
}, ihr erster Wurf (ein Risiko).
alarm-dam-low-calcium-why-later = Tag { $day } nach der Geburt, später als üblich dafür; { $pups ->
    [one] { $pups } Welpe
   *[other] { $pups } Welpen
}.
alarm-dam-low-calcium-why-later-first = Tag { $day } nach der Geburt, später als üblich dafür; { $pups ->
    [one] { $pups } Welpe
   *[other] { $pups } Welpen
}, ihr erster Wurf (ein Risiko).
alarm-dam-glands-full = Ihr Gesäuge ist prall: Sieh zu, dass die Welpen alle Zitzen leer trinken, und sieh heute noch einmal nach.
alarm-dam-glands-hot = Ein Teil des Gesäuges ist heiß, schmerzhaft oder hart, so beginnt eine Gesäugeentzündung: Ruf heute den Tierarzt an.
alarm-dam-glands-ill = Ruf jetzt den Tierarzt: entzündetes Gesäuge (Mastitis) mit Fieber, Mattigkeit oder schlechter Milch.
alarm-dam-glands-why = Gesäuge am letzten Tag angesehen; Temperatur { $temperature_c } Grad.
alarm-dam-glands-why-unknown = Gesäuge am letzten Tag angesehen; Temperatur nicht bekannt.
alarm-dam-foul-unwell = Ruf jetzt den Tierarzt: übelriechender Ausfluss, und der Hündin geht es nicht gut, vielleicht eine Entzündung der Gebärmutter.
alarm-dam-foul = Übelriechender Ausfluss: Ruf heute den Tierarzt an, es kann eine Entzündung der Gebärmutter sein.
alarm-dam-foul-why = Tag { $day } nach der Geburt; typisch in den ersten zwei Wochen.
alarm-dam-bleeding = Ruf jetzt den Tierarzt: Sie blutet, außer es sind nur ein paar Tropfen.
alarm-dam-bleeding-why = Hellroter Ausfluss an Tag { $day } nach der Geburt.
alarm-dam-green = Ruf heute den Tierarzt an: Grüner oder schwarzer Ausfluss hält an, eine Nachgeburt kann zurückgeblieben sein.
alarm-dam-green-fever = Ruf jetzt den Tierarzt: grüner oder schwarzer Ausfluss mit Fieber, eine Nachgeburt kann zurückgeblieben sein.
alarm-dam-green-why-all = { $hours } h nach dem letzten Welpen, Grenze { $limit_hours } h; alle Nachgeburten wurden gezählt, aber Zählungen täuschen.
alarm-dam-green-why-missing = { $hours } h nach dem letzten Welpen, Grenze { $limit_hours } h; { $missing ->
    [one] { $missing } Nachgeburt wurde
   *[other] { $missing } Nachgeburten wurden
} nicht gesehen.
alarm-dam-green-why-uncounted = { $hours } h nach dem letzten Welpen, Grenze { $limit_hours } h; die Nachgeburten wurden nicht gezählt.
alarm-dam-placenta-fever = Ruf jetzt den Tierarzt: Fieber, und Nachgeburten fehlen.
alarm-dam-placenta-why = { $missing ->
    [one] { $missing } Nachgeburt wurde
   *[other] { $missing } Nachgeburten wurden
} nicht gesehen
alarm-dam-fever-and-dull = Ruf jetzt den Tierarzt: Fieber, und sie ist matt oder vernachlässigt ihre Welpen.
alarm-dam-seen = Am letzten Tag gesehen.
alarm-dam-fever-very-high = Ruf jetzt den Tierarzt: sehr hohe Temperatur.
alarm-dam-fever = Sie hat Fieber: Ruf heute den Tierarzt an, sieh nach Gesäuge und Ausfluss.
alarm-dam-raised = Ihre Temperatur ist ein wenig erhöht: Miss heute Abend noch einmal.
alarm-dam-fever-why = { $temperature_c } Grad, { $hours } h nach dem letzten Welpen. Die Grenze ist { $limit_c }.
alarm-dam-cold = Sie ist kälter als üblich: Miss noch einmal und ruf den Tierarzt an, wenn sie matt ist.
alarm-dam-cold-why = { $temperature_c } Grad.
alarm-dam-pups-cry = Ihre Welpen schreien und beruhigen sich nicht: Sieh nach, ob sie warm und satt sind, sieh nach ihrem Gesäuge und ruf heute den Tierarzt an.
alarm-dam-not-eaten = Sie hat einen Tag lang nicht gefressen: Ruf den Tierarzt an.
alarm-dam-not-eating = Sie frisst nicht: Biete ihr etwas Schmackhaftes an der Wurfkiste an und miss ihre Temperatur.
alarm-dam-not-eating-why = Seit { $hours } h nichts gefressen.
alarm-dam-discharge-too-long = Der Ausfluss dauert zu lange: Geh mit ihr zum Tierarzt.
alarm-dam-discharge-long = Der Ausfluss dauert länger als drei Wochen: Sprich den Tierarzt darauf an.
alarm-dam-discharge-why = Gesehen an Tag { $day }.
dam-lacks-temperature = ihre Temperatur am letzten Tag
dam-lacks-glands = ein Blick auf ihr Gesäuge am letzten Tag
dam-lacks-appetite = ob sie frisst

## Der neugeborene Welpe

alarm-first-milk = Sieh zu, dass jeder Welpe in seinen ersten Stunden saugt, und schreib es auf: Die erste Milch schützt ihn.
alarm-first-milk-why = Noch ist nichts aufgeschrieben; am meisten zählt sie in den ersten { $hours } Stunden, nach { $ends_hours } nicht mehr.
alarm-newborn-not-breathed-now = { $pup } hat nicht geatmet: Mach die Atemwege frei, reib und wärm ihn und ruf jetzt den Tierarzt.
alarm-newborn-not-breathed = { $pup } hat nicht geatmet, als ihm geholfen wurde: Schreib auf, ob er lebt, und lass ihn heute vom Tierarzt ansehen.
alarm-newborn-not-breathed-why = Vor { $minutes } min geholfen.
warmth-chilled = { $pup } ist unterkühlt: Wärm ihn langsam an deiner Haut, füttere ihn nicht, bevor er warm ist, und ruf jetzt den Tierarzt.
warmth-too-cool = { $pup } ist zu kühl: Wärm ihn langsam, bevor er etwas bekommt, sieh zu, dass er saugt, und frag den Tierarzt, wenn es so bleibt.
warmth-little-cool = { $pup } ist ein wenig kühl: Prüf die Wärme im Nest und miss in einer Stunde noch einmal.
warmth-dangerously-hot = { $pup } ist gefährlich heiß: Nimm ihn aus der Wärme, kühl ihn langsam und ruf jetzt den Tierarzt.
warmth-fever = { $pup } hat Fieber: Sieh nach, ob das Nest zu heiß ist, und ruf heute den Tierarzt an.
warmth-little-warm = { $pup } ist ein wenig warm: Miss noch einmal, wenn er geruht hat.
warmth-too-warm = { $pup } ist zu warm: Sieh nach, ob das Nest zu heiß ist; wenn es so bleibt, ruf den Tierarzt an.
warmth-why = { $temperature_c } Grad mit { $age_days ->
    [one] { $age_days } Tag
   *[other] { $age_days } Tagen
}; die Grenze ist { $limit_c }.
warmth-before = { $pup } lag vor ein paar Stunden außerhalb des Üblichen: Halt ihn warm, sieh zu, dass er trinkt, miss noch einmal und ruf den Tierarzt an, wenn er schwach ist.
warmth-now = Jetzt sind es { $temperature_c }.
alarm-newborn-sign = { $pup } { $sign }.
alarm-newborn-sign-why = Vor { $ago } gesehen.
alarm-newborn-fading = { $pup } zeigt mehrere Krankheitszeichen und wird vielleicht immer schwächer: Wärm ihn und ruf jetzt den Tierarzt.
alarm-newborn-fading-why = Gesehen: { $signs }.
word-pup-limp = schlaff
word-pup-blue = blau
word-pup-gasping = ringt nach Luft
word-pup-cold = kalt
word-pup-not-sucking = saugt nicht
word-pup-crying = schreit
word-pup-bloated = aufgebläht
word-pup-diarrhoea = Durchfall
word-pup-vomiting = erbricht
word-pup-weak = schwach
word-pup-fits = zittert oder krampft
word-pup-dehydrated = ausgetrocknet
word-pup-navel = Nabel entzündet
word-exam-palate = Gaumen und Lippen
word-exam-suck-reflex = Saugreflex
word-exam-anus = After
word-exam-umbilicus = Nabel
word-exam-belly-wall = Bauchdecke
word-exam-limbs = Gliedmaßen
word-exam-spine-and-tail = Rücken und Rute
word-exam-skull = Schädel
word-exam-eyes = Augen
word-exam-genitals = Geschlechtsteile
word-exam-skin = Haut
alarm-newborn-unexamined = Sieh { $pups } vor der ersten Mahlzeit von Kopf bis Rute an und schreib auf, was du findest.
alarm-newborn-unexamined-why = Noch nicht angesehen: { $places }.
alarm-newborn-fades-now = { $pup } wird nach allem, was bekannt ist, immer schwächer: Wärm ihn und ruf jetzt den Tierarzt.
alarm-newborn-fades-today = { $pup } wird vielleicht immer schwächer: Miss seine Temperatur, sieh zu, dass er warm und satt ist, wieg ihn noch einmal und ruf heute den Tierarzt an.
alarm-newborn-fades-why = Wahrscheinlichkeit { $percent } % nach Gewichten und dem, was gesehen wurde, zusammen: { $grounds }.
fading-temperature = { $temperature_c } °C
fading-not-nursing = saugte nicht, als jemand hinsah
fading-nursing = saugte, als jemand hinsah
fading-little-taken = hat aus der Hand zu wenig genommen
fading-no-signs = beim letzten Hinsehen fand sich kein Krankheitszeichen
fading-signs = Zeichen: { $signs }
fading-weak-at-birth = war bei der Geburt schwach ({ $points } Punkte)
fading-lacks-weights = seine Gewichte, wenigstens zwei
fading-lacks-temperature = seine Temperatur von heute
fading-lacks-look = ein Blick auf ihn heute: wie er liegt, saugt und atmet
alarm-newborn-unfed = { $pup } hat seit der Geburt nichts getrunken: Gib ihm erste Milch seiner Mutter, wenn er warm ist, oder frag heute den Tierarzt, wie sonst.
alarm-newborn-unfed-yet = { $pup } hat noch nicht getrunken: Sieh zu, dass er in seinen ersten Stunden erste Milch bekommt.
alarm-newborn-unfed-why = { $age_hours } Stunden alt; die erste Milch zählt am meisten in den ersten { $hours } und nach { $ends_hours } nicht mehr.
vitality-severe = Schwer beeinträchtigt: Mach die Atemwege frei, reib und wärm ihn und ruf jetzt den Tierarzt.
vitality-moderate = Mäßig beeinträchtigt: Reib und wärm ihn und vergib die Punkte in ein paar Minuten noch einmal.
vitality-risk = Beobachte ihn einen Tag lang genau: Wenige Punkte in den ersten Stunden gehen mit dem Tod in den ersten 24 einher.
vitality-why = Höchstens { $points } von 10 Punkten.
vitality-risk-limit = Die Grenze ist { $limit_points } innerhalb von { $hours } h.
vitality-lacks-heart = Herzschlag
vitality-lacks-breath = Atmung oder Schrei
vitality-lacks-reflex = Reflex
vitality-lacks-motility = Beweglichkeit
vitality-lacks-gums = Farbe des Zahnfleischs

## Gewichte, die rufen

alarm-growth-litter-losing = Mehr als die Hälfte des Wurfs hat seit gestern abgenommen: Prüf die Waage, dann Milch, Gesäuge und Temperatur der Hündin.
alarm-growth-scale-down = Alle Welpen wiegen { $percent } % weniger als vor einem Tag, und alle gleich viel weniger: Prüf die Waage (Null, Einheit, was darauf liegt) und wieg sie jetzt noch einmal. Ist es wieder so, haben alle abgenommen: Sieh nach der Milch der Hündin, füttere sie und ruf jetzt den Tierarzt.
alarm-growth-scale-up = Alle Welpen wiegen { $percent } % mehr als vor einem Tag, und alle gleich viel mehr: Prüf die Waage (Null, Einheit, was darauf liegt) und wieg sie noch einmal.
alarm-growth-scale-why = { $pups } Welpen einer Runde haben sich um fast dasselbe verändert; Welpen, die abnehmen, unterscheiden sich.
alarm-growth-litter-losing-why = { $losing } von { $weighed } gewogenen Welpen haben abgenommen.
alarm-growth-change = { $weight_g } g nach { $before_g } g in { $hours } h ({ $percent } % am Tag).
alarm-growth-early-loss-now = { $pup } hat ein Zehntel des Geburtsgewichts oder mehr verloren und nimmt nicht zu: Ruf jetzt den Tierarzt; er muss zugefüttert werden.
alarm-growth-early-loss-today = { $pup } hat ein Zehntel des Geburtsgewichts oder mehr verloren: Wärm ihn, sieh zu, dass er saugt, und frag heute den Tierarzt nach dem Zufüttern.
alarm-growth-early-loss-first-day = { $pup } liegt ein wenig unter dem Geburtsgewicht, was am ersten Tag normal sein kann: Wieg in 12 Stunden noch einmal.
alarm-growth-early-loss-still = { $pup } liegt noch unter dem Geburtsgewicht: Achte darauf, dass er saugt und zunimmt.
alarm-growth-early-loss-why = { $weight_g } g mit { $age_hours } h nach { $birth_g } g bei der Geburt ({ $percent } %); die Grenze ist { $limit_percent } %.
alarm-growth-lost = { $pup } hat seit dem Vortag abgenommen: Prüf, ob er warm ist und saugt oder frisst, und wieg in { $hours } Stunden noch einmal.
alarm-growth-not-gained = { $pup } hat seit dem Vortag nicht zugenommen: Prüf, ob er warm ist und saugt oder frisst, und wieg in { $hours } Stunden noch einmal.
alarm-growth-failing-watch = { $pup } gedeiht vielleicht nicht: Wieg ihn zweimal am Tag.
alarm-growth-failing-act = { $pup } gedeiht vielleicht nicht: Wärm ihn, sieh zu, dass er saugt, und ruf heute den Tierarzt an.
alarm-growth-failing-why = Zunahme { $gain } % am Tag, erwartet waren { $expected } %; Wahrscheinlichkeit { $percent } %.
alarm-growth-early-growth = { $pup } hat von der Geburt bis Tag 2 zu wenig zugenommen und ist bis Tag 21 stärker gefährdet: Wieg ihn zweimal am Tag.
alarm-growth-early-growth-why = { $growth } % bei einer Grenze von { $limit } %.
alarm-growth-birth-weight-low = { $pup } hatte ein niedriges Geburtsgewicht für die Rasse: Halt ihn warm, sieh zu, dass er oft saugt, und wieg ihn zweimal am Tag.
alarm-growth-birth-weight-very-low = { $pup } hatte ein sehr niedriges Geburtsgewicht für die Rasse: Halt ihn warm, sieh zu, dass er oft saugt, und wieg ihn zweimal am Tag.
alarm-growth-birth-weight-why = { $weight_g } g, unter { $limit_g } g; { $percent } % solcher Welpen starben innerhalb von 21 Tagen.
alarm-growth-below-litter = { $pup } ist viel leichter als der Wurf: Gib ihm Zeit allein bei der Hündin und frag den Tierarzt, ob du ihn von Hand füttern sollst.
alarm-growth-below-litter-why = { $percent } % unter dem Mittel des Wurfs; die Grenze ist { $limit_percent } %.
alarm-growth-not-doubled = { $pup } hat das Geburtsgewicht noch nicht verdoppelt: Sprich den Tierarzt darauf an.
alarm-growth-not-tripled = { $pup } hat das Geburtsgewicht noch nicht verdreifacht: Sprich den Tierarzt darauf an.
alarm-growth-multiple-why = Das { $multiple }-fache des Geburtsgewichts mit { $age_days } Tagen; üblich ab Tag { $from_day }, spätestens an Tag { $limit_day }.
alarm-growth-unweighed = { $pup } wurde länger nicht gewogen: Wieg ihn heute.
alarm-growth-unweighed-why = Das letzte Gewicht ist { $hours } Stunden alt.

## Bevor ein Welpe abgegeben wird

alarm-go-home-step-not-counted = { $step } ({ $why })
alarm-go-home-missing = { $pup } ist versprochen und alt genug für die Abgabe, und dies fehlt: { $missing }. Frag deinen Tierarzt vor der Abgabe danach.
alarm-go-home-still-missing = { $pup } ist versprochen und kann ab dem { $goes_on } abgegeben werden; es fehlt noch: { $missing }.
alarm-go-home-why = Mindestalter für die Abgabe: { $age }, erreicht am { $goes_on }.
alarm-go-home-died = { $pup } ist gestorben und kommt in kein Zuhause. Sag es dem Käufer, gib das Gezahlte zurück oder biete einen anderen Welpen an, und zieh die Vermittlung zurück.
alarm-go-home-died-why = Gestorben am { $died_on } und versprochen.

## Wie viele Welpen zu erwarten sind

expected-pups-mean = { $group }: im Mittel { $mean } ({ $source })
expected-pups-size-under-5-kg = Hündinnen unter 5 kg
expected-pups-size-5-to-10-kg = Hündinnen von 5–10 kg
expected-pups-size-10-to-25-kg = Hündinnen von 10–25 kg
expected-pups-size-25-to-45-kg = Hündinnen von 25–45 kg
expected-pups-size-over-45-kg = Hündinnen über 45 kg
expected-pups-size-usual = { $size }, wie ihre Rasse meist ist
expected-pups-all-breeds = alle Rassen
expected-pups-earlier = { $litters ->
    [one] ihr { $litters } früherer Wurf, { $mean } Welpen, zählt
   *[other] ihre { $litters } früheren Würfe, im Mittel { $mean }, zählen
} { $percent } % ({ $source })
expected-pups-effect = { $what }: { $pups } ({ $source })
expected-pups-effect-unconfirmed = { $what }: { $pups } ({ $source }; nicht bestätigt)
expected-pups-insemination = Besamung
expected-pups-insemination-frozen = Besamung mit Gefriersperma
expected-pups-litter-inbreeding = Inzucht des Wurfs { $inbreeding } oder mehr
expected-pups-dam-inbreeding = Inzucht der Hündin { $inbreeding } oder mehr
expected-pups-ultrasound = Ultraschall
expected-pups-radiograph = Röntgenbild
expected-pups-palpation = Abtasten
expected-pups-counts = { $method }: { $count } gezählt ({ $source })
expected-pups-counts-range = { $method }: { $least } bis { $most } gezählt ({ $source })
expected-pups-counts-at-least = { $method }: mindestens { $least } gezählt ({ $source })
expected-pups-counts-at-most = { $method }: höchstens { $most } gezählt ({ $source })
expected-pups-counts-nothing = { $method } ohne brauchbare Zählung
expected-pups-born = { $born } schon geboren

## Warum ein Koeffizient eine Untergrenze ist

about-inbreeding = Jeder Koeffizient ist eine Untergrenze: Ahnen, die nicht bekannt sind, gelten als nicht verwandt, und ein Hund mit einem unbekannten Elternteil hat nach Vereinbarung 0. Wie vollständig die Ahnentafel ist, steht daneben.
lower-bound-neither = Eine Untergrenze: Kein Elternteil ist bekannt, so dass er nach Vereinbarung 0 ist und nichts sagt.
lower-bound-sire = Eine Untergrenze: Der Vater ist nicht bekannt, so dass er nach Vereinbarung 0 ist; bekannt sind { $generations } vollständige Generationen.
lower-bound-dam = Eine Untergrenze: Die Mutter ist nicht bekannt, so dass er nach Vereinbarung 0 ist; bekannt sind { $generations } vollständige Generationen.
lower-bound-ancestors = Eine Untergrenze: Ab Generation { $from_generation } sind Ahnen nicht bekannt und gelten als nicht verwandt; bekannt sind { $generations } vollständige Generationen.

## Zeichen an der Hündin und am Welpen

call-sign-dam-dull = Sie ist matt: Miss ihre Temperatur, sieh nach Gesäuge und Ausfluss und ruf heute den Tierarzt an.
call-sign-dam-neglects_pups = Sie vernachlässigt ihre Welpen: Miss ihre Temperatur, sieh zu, dass die Welpen warm und satt sind, und ruf heute den Tierarzt an.
call-sign-dam-vomiting = Sie erbricht: Ruf heute den Tierarzt an (einmal am Tag der Geburt können es die Nachgeburten sein, die sie gefressen hat).
call-sign-dam-no_milk = Sie hat keine Milch: Ruf heute den Tierarzt an und sieh zu, dass jeder Welpe satt wird.
call-sign-dam-pale_gums = Ruf jetzt den Tierarzt: Blasses Zahnfleisch kann heißen, dass sie innerlich blutet oder im Schock ist.
call-sign-dam-prolapse = Ruf jetzt den Tierarzt: Gewebe hängt aus der Scheide. Halt es feucht und sauber und lass sie nicht daran lecken.
call-sign-dam-collapse = Ruf jetzt den Tierarzt: Sie ist zusammengebrochen.
call-sign-pup-limp = ist schlaff: Wärm ihn an deiner Haut und ruf jetzt den Tierarzt; er kann unterkühlt sein oder zu wenig Zucker im Blut haben
call-sign-pup-blue = ist blau oder ringt nach Luft: Mach die Atemwege frei, reib und wärm ihn und ruf jetzt den Tierarzt
call-sign-pup-gasping = atmet schwer: Ruf jetzt den Tierarzt und halt ihn warm
call-sign-pup-cold = fühlt sich kalt an: Miss seine Temperatur, wärm ihn langsam, bevor er etwas bekommt, und ruf heute den Tierarzt an
call-sign-pup-not_sucking = saugt nicht: Miss seine Temperatur, wieg ihn und ruf heute den Tierarzt an
call-sign-pup-crying = schreit und beruhigt sich nicht: Sieh nach, ob er kalt oder hungrig ist, wieg ihn und ruf heute den Tierarzt an
call-sign-pup-bloated = ist aufgebläht: Gib ihm nichts, bis der Tierarzt gefragt ist, und ruf heute an
call-sign-pup-diarrhoea = hat Durchfall: Ein kleiner Welpe trocknet in Stunden aus, ruf heute den Tierarzt an
call-sign-pup-vomiting = erbricht, oder Milch kommt aus der Nase: Sieh nach einer Gaumenspalte und ruf heute den Tierarzt an
call-sign-pup-fits = zittert oder krampft: Halt ihn warm und ruf jetzt den Tierarzt; er kann zu wenig Zucker im Blut haben
call-sign-pup-dehydrated = sieht ausgetrocknet aus: Miss seine Temperatur, wieg ihn und ruf heute den Tierarzt an
call-sign-pup-navel = hat einen roten, geschwollenen oder nässenden Nabel: Eine Entzündung dort breitet sich schnell aus, ruf heute den Tierarzt an
newborn-exam-palate = hat vielleicht eine Spalte an Gaumen oder Lippe: Milch gerät ihm in die Lunge, gib ihm keine Flasche und ruf heute den Tierarzt an, bevor er gefüttert wird
newborn-exam-suck_reflex = saugt nicht fest: Miss seine Temperatur, wärm ihn, wenn er kühl ist, leg ihn noch einmal an, und ruf heute den Tierarzt an, wenn er nicht trinkt
newborn-exam-skull = hat eine große weiche Stelle oder einen gewölbten Kopf: Zeig es dem Tierarzt beim ersten Besuch
newborn-exam-eyes = hat geschwollene Lider oder Eiter an den Augen: Ruf heute den Tierarzt an, es kann eine Entzündung hinter den geschlossenen Lidern sein
newborn-exam-skin = hat eine Wunde, ist geschwollen oder hat Pfoten ohne Haar: Ruf heute den Tierarzt an; ein zu früh geborener Welpe braucht Wärme und öfter Milch
newborn-exam-limbs = hat ein Bein, das nicht ist, wie es sein soll: Sieh zu, dass er an die Zitze kommt, und zeig ihn in den nächsten Tagen dem Tierarzt
newborn-exam-belly_wall = hat einen offenen Bauch: Deck, was draußen ist, mit einem sauberen, feuchten Tuch ab, halt ihn warm, lass die Hündin nicht daran lecken und ruf jetzt den Tierarzt
newborn-exam-umbilicus = blutet am Nabel oder ist dort geschwollen: Drück auf eine blutende Schnur mit einem sauberen Tuch oder binde sie ab und ruf heute den Tierarzt an
newborn-exam-spine_and_tail = hat über der Wirbelsäule eine Öffnung oder Delle oder bewegt die Hinterhand nicht: Ruf heute den Tierarzt an
newborn-exam-anus = hat keinen offenen After, den man sehen kann: Ruf heute den Tierarzt an
newborn-exam-genitals = setzt nicht Harn ab, wie er soll: Streich ihn nach der nächsten Mahlzeit und frag den Tierarzt, wenn nichts kommt
newborn-exam-how-palate = Öffne das Maul bei gutem Licht und sieh den ganzen Gaumen an, auch weit hinten, und Lippen und Nasenlöcher.
newborn-exam-how-suck_reflex = Gib ihm einen sauberen, warmen Finger ins Maul: Er saugt sofort und fest.
newborn-exam-how-skull = Fühl oben auf den Kopf: höchstens eine kleine weiche Stelle, keine Wölbung.
newborn-exam-how-eyes = Die Lider sind zu und flach, nichts kommt zwischen ihnen hervor.
newborn-exam-how-skin = Such nach Wunden von den Zähnen der Hündin, nach Schwellung am ganzen Leib und nach Pfoten ohne Haar, die heißen können, dass er zu früh kam.
newborn-exam-how-limbs = Vier Beine, gerade, mit allen Zehen, die er bewegt.
newborn-exam-how-belly_wall = Der Bauch ist zu: kein Darm und kein Organ draußen oder unter papierdünner Haut.
newborn-exam-how-umbilicus = Die Nabelschnur ist trocken und blutet nicht; keine Schwellung, die sich zurückdrücken lässt.
newborn-exam-how-spine_and_tail = Fahr mit dem Finger den Rücken hinab: geschlossene Haut, keine Delle, kein Büschel, eine Rute, die sich bewegt.
newborn-exam-how-anus = Unter der Rute ist eine Öffnung; mit einem feuchten, warmen Tuch gestrichen setzt er am ersten Tag den ersten dunklen Kot ab.
newborn-exam-how-genitals = Mit einem feuchten, warmen Tuch gestrichen setzt er Harn ab, im Strahl und von da, wo er soll.
call-sign-pup-weak = ist schwach: Miss seine Temperatur, wieg ihn und ruf heute den Tierarzt an

## Einträge: was an einem Wert nicht stimmt

fault-missing-given = fehlt; es muss angegeben werden
fault-missing-died-on = fehlt; zu einer Todesursache gehört der Tag
fault-missing-value-or-finding = fehlt; gib einen Wert mit seiner Einheit an oder einen Befund in Worten
fault-missing-finding = fehlt; schreib, welches Zeichen zu sehen war
fault-missing-dam = fehlt; gib die Hündin an oder den Deckakt, aus dem der Wurf stammt
fault-missing-buyer = fehlt; zu einem Verkauf gehört ein Käufer
fault-empty-ties = ist leer; zu einer vollzogenen Deckung gehört mindestens ein Deckakt oder eine Besamung
fault-empty-name-from-to = muss ein Name von { $least } bis { $most } Zeichen sein
fault-too-long-name-from-to = muss ein Name von { $least } bis { $most } Zeichen sein
fault-too-long-by = ist { $length } Zeichen lang; erlaubt sind höchstens { $most }
fault-too-long-search = ist länger als { $most } Zeichen; gib einen Teil eines Namens oder einer Nummer an
fault-too-short-reason = muss den Grund nennen, in { $least } bis { $most } Zeichen
fault-twice-in-list = steht schon in der Liste
fault-twice-leave-out = steht zweimal in der Liste; lass eines weg
fault-in-future-time = liegt in der Zukunft (jetzt ist { $now }); gib die Zeit an, zu der es geschah
fault-in-future-day = liegt in der Zukunft (heute ist der { $today }); gib den Tag an, an dem es geschah
fault-in-future-birth = liegt nach heute ({ $today }); gib den Tag an, an dem der Hund geboren wurde
fault-in-future-death = liegt nach heute ({ $today }); gib den Tag an, an dem der Hund starb
fault-too-early-birth = liegt vor der Geburt; berichtige eines von beiden
fault-too-early-held-until = liegt vor held_from; berichtige eines von beiden
fault-too-early-last-on = liegt vor dem ersten Tag; gib einen ab dem { $first_on } an
fault-missing-news = erzählt nichts; gib ein Gewicht, Fell, Wesen, etwas zur Gesundheit oder eine Nachricht an
fault-missing-adult-weight = gehört zu full_grown; gib das Gewicht an
fault-too-early-joined = liegt vor dem Eintrag in die Warteliste ({ $joined_on }); berichtige eines von beiden
fault-too-early-whelping = braucht einen Tag der Geburt, der davor liegt
fault-disordered-first-day = liegt vor dem ersten Tag ({ $first_day }); berichtige einen von beiden
fault-disordered-last-day = liegt nach dem letzten Tag ({ $last_day }); berichtige einen von beiden
fault-out-of-range-due-on = muss zwischen dem Tag der Untersuchung ({ $checked_on }) und { $most_days } Tagen danach liegen
fault-out-of-range-birth-weight = ist mehr, als ein Welpe bei der Geburt wiegt (höchstens { $most_g } g); gib Gramm an
fault-out-of-range-count = liegt unter count_at_least ({ $least }); berichtige eines von beiden
fault-out-of-range-share = ergibt mehr als den ganzen Hund; gib höchstens den Nenner (denominator) an
fault-out-of-range-rule = liegt außerhalb; erlaubt sind { $from } bis { $to } { $unit }
fault-not-together-dam-is-sire = ist auch der Vater; ein Hund hat zwei Eltern
fault-not-together-sire-is-dam = ist auch die Hündin; gib einen Rüden an
fault-not-together-sire-is-dam-or-null = ist auch die Hündin; gib einen Rüden an oder null
fault-not-together-planned-with-ties = sagt planned, aber es gibt Deckakte; setz es auf done
fault-not-together-counted-pups = sagt not_pregnant, aber es wurden Welpen gezählt; berichtige eines von beiden
fault-only-together-price = gehört zu price_minor; gib beide an oder keines
fault-wrong-kind-unit = passt nicht zu einem Wert von { $kind }; zu progesterone gehört ng_per_ml oder nmol_per_l, zu lh ng_per_ml, zu cytology cornified_fraction (0–1), zu sign kein Wert
fault-wrong-kind-price = ist der Preis, der bei der Abgabe steht; ändere dort price_minor
fault-unknown-value-time-zone = ist keine Zeitzone der IANA; schreib eine wie Europe/Berlin
fault-unknown-value-currency = ist keine gültige Währung nach ISO 4217
fault-unknown-value-rule-set = nennt keine bekannten Zuchtgrenzen; es gibt { $known }
fault-unknown-value-rule-set-near = nennt keine bekannten Zuchtgrenzen; es gibt { $known }; meintest du { $near }?
fault-unknown-value-action = endet mit keinem von { $known }
fault-unknown-value-action-near = endet mit keinem von { $known }; meintest du { $near }?
fault-unknown-value-word = { $value } ist keines von { $known }
fault-unknown-value-word-near = { $value } ist keines von { $known }; meintest du { $near }?
fault-not-found-rule = es gibt keine Regel { $key }
fault-not-found-rule-near = es gibt keine Regel { $key }; meintest du { $near }?
fault-malformed-partial-date = ist kein Datum; schreib einen Tag (2020-05-17), einen Monat (2020-05) oder ein Jahr (2020)
fault-malformed-line-break = ist eine einzige Zeile; lass den Zeilenumbruch weg (das Zeichen U+000A)
fault-malformed-line-end = enthält das Zeichen U+000D; beende Zeilen nur mit U+000A
fault-malformed-character = enthält das Zeichen { $character }; lass es weg

## Einheiten der Regeln

rule-unit-animals = Tiere
rule-unit-day-of-heat = Tage der Läufigkeit
rule-unit-day-of-pregnancy = Tage der Trächtigkeit
rule-unit-celsius = °C
rule-unit-days = Tage
rule-unit-dogs = Hunde
rule-unit-deviations = Abweichungen
rule-unit-factor = (Faktor)
rule-unit-feeds-per-day = Mahlzeiten am Tag
rule-unit-fraction = (Anteil)
rule-unit-fraction-per-day = (Anteil am Tag)
rule-unit-generations = Generationen
rule-unit-hours = Stunden
rule-unit-kcal-per-100-g = kcal je 100 g
rule-unit-kcal-per-kg = kcal je kg
rule-unit-kcal-per-kg-0-75 = kcal je kg^0,75
rule-unit-kcal-per-kg-per-pup = kcal je kg und Welpe
rule-unit-kcal-per-ml = kcal je ml
rule-unit-litters = Würfe
rule-unit-log-ratio = (Logarithmus des Verhältnisses)
rule-unit-log-odds-per-degree = (Logarithmus der Chancen je Grad)
rule-unit-log-odds = (Logarithmus der Chancen)
rule-unit-log-per-day = (Logarithmus am Tag)
rule-unit-matings = Deckungen
rule-unit-minutes = Minuten
rule-unit-ml-per-100-g = ml je 100 g
rule-unit-ml-per-kcal = ml je kcal
rule-unit-months = Monate
rule-unit-ng-per-ml = ng/ml
rule-unit-ng-ml = ng/ml
rule-unit-nmol-l-per-ng-ml = nmol/l je ng/ml
rule-unit-nodes = Knoten
rule-unit-observations = Beobachtungen
rule-unit-pairs = Paare
rule-unit-people = Personen
rule-unit-per-minute = in der Minute
rule-unit-points = Punkte
rule-unit-points-a-day = Punkte am Tag
rule-unit-pups = Welpen
rule-unit-pups-per-unit-of-inbreeding = Welpen je Einheit des Inzuchtkoeffizienten
rule-unit-ratio = (Verhältnis)
rule-unit-readings = Messungen
rule-unit-standard-errors = Standardfehler
rule-unit-share = (Anteil)
rule-unit-share-of-the-stomach-s-limit = (Anteil an dem, was der Magen fasst)
rule-unit-signs = Zeichen
rule-unit-sires = Deckrüden
rule-unit-standard-deviations = Standardabweichungen
rule-unit-states = Zustände
rule-unit-times-baseline = × Grundwert
rule-unit-times-mer = × Erhaltungsbedarf (MER)
rule-unit-times-rer = × Ruhebedarf (RER)
rule-unit-weeks = Wochen
rule-unit-years = Jahre

## Tage

month-of-year = { $month }.{ $year }
day-of-month = { $day }. { $month }
day-of-month-and-year = { $day }. { $month } { $year }
month-name =
    { $month ->
        [1] Januar
        [2] Februar
        [3] März
        [4] April
        [5] Mai
        [6] Juni
        [7] Juli
        [8] August
        [9] September
        [10] Oktober
        [11] November
       *[12] Dezember
    }

## Die Uhr eines Geräts

device-clock-right = Die Uhr des Geräts geht richtig.
device-clock-ahead-moved = Die Uhr des Geräts geht { $minutes } min vor; seine Zeiten wurden darum verschoben.
device-clock-behind-moved = Die Uhr des Geräts geht { $minutes } min nach; seine Zeiten wurden darum verschoben.
device-clock-ahead = Die Uhr des Geräts geht { $minutes } min vor: Stell sie richtig, und schick "shift_times": true mit, falls sie schon so ging, als die Zeiten entstanden.
device-clock-behind = Die Uhr des Geräts geht { $minutes } min nach: Stell sie richtig, und schick "shift_times": true mit, falls sie schon so ging, als die Zeiten entstanden.
device-clock-ahead-at-least = Die Uhr des Geräts geht mindestens { $minutes } min vor: Stell sie richtig, und schick ihre Zeit in sent_at mit.

## Was bleibt, wenn die Daten eines Käufers gelöscht werden

erasure-keeps-record = die Nummer des Eintrags und seine Tage
erasure-keeps-record-why = Andere Einträge verweisen darauf.
erasure-keeps-placements =
    { $count ->
        [one] eine Abgabe: Welpe, Bedingungen und Tage
       *[other] { $count } Abgaben: Welpe, Bedingungen und Tage
    }
erasure-keeps-placements-why = Wohin ein Welpe ging, gehört zu seinem Eintrag, und sein Chip kann danach fragen lassen; es entscheidet das örtliche Recht.
erasure-keeps-accounts =
    { $count ->
        [one] eine Buchung, ohne ihre Notiz
       *[other] { $count } Buchungen, ohne ihre Notizen
    }
erasure-keeps-accounts-why = Konten müssen aufgehen, und das Steuerrecht verlangt sie; es entscheidet das örtliche Recht.
erasure-keeps-news =
    { $count ->
        [one] eine Nachricht zur Gesundheit, ohne den Absender
       *[other] { $count } Nachrichten zur Gesundheit, ohne den Absender
    }
erasure-keeps-news-why = Sie gehören zu den Hunden und zum Eintrag von Mutter und Vater.

## Dateien, die eingelesen werden: Zellen

fault-unreadable-cell = ist der Fehler { $error } der Tabelle
fault-unknown-value-sex = ist kein Geschlecht; schreib F, M, female, male oder nichts (auch Hündin, Rüde)
fault-unknown-value-truth = ist weder wahr noch falsch; schreib true oder false (auch ja, nein)
fault-unknown-value-residence = ist weder here (hier) noch elsewhere (anderswo)
fault-unknown-value-health-kind = ist keines von { $known }
fault-unknown-value-test-result = ist keines von { $known }
fault-malformed-number = ist keine Zahl; schreib sie wie 12.5
fault-malformed-whole-number = ist keine ganze Zahl
fault-malformed-day = ist kein Tag; schreib ihn wie 2020-05-17
fault-malformed-time-of-day = ist keine Uhrzeit; schreib sie wie 18:00
fault-malformed-date-order = ist kein Datum in der Reihenfolge { $order }, die date_order angibt
fault-malformed-year = hat kein Jahr mit vier Ziffern; schreib es wie 2020-05-17
fault-malformed-chip = ist keine Chipnummer; schreib 9 bis 15 Ziffern oder Buchstaben
fault-malformed-registration = braucht ein Register und eine Nummer von je höchstens { $most } Zeichen, wie "Zuchtbuch: SB 10/2231"
fault-malformed-adult-weight = ist kein Gewicht; schreib ganze Gramm von { $least_g } bis { $most_g }
fault-malformed-hour-left-out = liegt in der Stunde, die die Uhren an diesem Tag überspringen
fault-unclear-thousand = kann ein Tausender oder ein Dezimalbruch sein; schreib es ohne das Komma
fault-unclear-date = kann der { $first } oder der { $second } sein; sag welcher, mit date_order=dmy oder date_order=mdy
fault-unclear-dog = kann { $dogs } sein; schreib Registernummer, Chip oder id
fault-unclear-dog-and-more = kann { $dogs } sein oder einer von { $more } weiteren; schreib Registernummer, Chip oder id
fault-not-found-dog-named = nennt keinen Hund des Zwingers; gib Name, Registernummer, Chip oder id an
fault-not-together-units = steht neben einer anderen Einheit; gib nur eine an
fault-only-together-time-and-day = steht ohne Tag; gib auch den Tag an
fault-too-many-registrations = hat { $count } Einträge; erlaubt sind höchstens { $most }

## Dateien, die eingelesen werden: Spalten

fault-unknown-field-mapped = ist kein Feld; bekannt sind { $known }
fault-unknown-field-mapped-near = ist kein Feld; bekannt sind { $known }; meintest du { $near }?
fault-unknown-field-column = unbekannte Spalte { $column }; bekannt sind { $known }; ordne ihr in der Anfrage eines davon zu ({ $field }=NAME) oder lass die Spalte weg (ignore=NAME)
fault-unknown-field-column-near = unbekannte Spalte { $column }; ist { $near } gemeint?; bekannt sind { $known }; ordne ihr in der Anfrage eines davon zu ({ $field }=NAME) oder lass die Spalte weg (ignore=NAME)
fault-unknown-field-column-nameless = Spalte { $number } hat keinen Namen; bekannt sind { $known }; ordne ihr in der Anfrage eines davon zu ({ $field }=NAME) oder lass die Spalte weg (ignore=NAME)
fault-not-found-column = die Datei hat keine Spalte { $column }
fault-twice-column = { $field } steht in { $times } Spalten; behalte eine, oder lass eine weg (ignore=NAME)
fault-missing-column = es gibt keine Spalte { $columns }; die erste Zeile muss die Spalten nennen, und ein anderer Name lässt sich zuordnen ({ $field }=NAME)
fault-unclear-separator = lässt nicht erkennen, was die Spalten trennt; sag es mit separator=comma, separator=semicolon oder separator=tab
fault-too-many-columns = hat { $count } Spalten, erlaubt sind höchstens { $most }; Zeilenenden trennen die Zeilen

## Dateien, die eingelesen werden: Zeilen

fault-empty-file = die Datei ist leer; die erste Zeile nennt die Spalten, dann folgt je Eintrag eine Zeile
fault-empty-rows = unter den Spalten steht keine Zeile; gib je Eintrag eine Zeile an
fault-empty-dogs = unter den Spalten steht keine Zeile; gib je Hund eine Zeile an
fault-too-many-rows = ist eine Zeile zu viel; erlaubt sind höchstens { $most }, schick mehrere Dateien
fault-too-few-fields =
    { $count ->
        [one] hat ein Feld, die erste Zeile aber { $columns } Spalten; ein Wert mit einem Trennzeichen darin braucht doppelte Anführungszeichen
       *[other] hat { $count } Felder, die erste Zeile aber { $columns } Spalten; ein Wert mit einem Trennzeichen darin braucht doppelte Anführungszeichen
    }
fault-too-many-fields = hat { $count } Felder, die erste Zeile aber { $columns ->
        [one] nur eine Spalte
       *[other] { $columns } Spalten
    }; ein Wert mit einem Trennzeichen darin braucht doppelte Anführungszeichen
fault-too-long-line = hat eine Zeile von mehr als { $most_bytes } Byte; Zeilenenden trennen die Zeilen
fault-unreadable-row = ist keine lesbare Zeile einer Tabelle; speichere die Datei neu
fault-unreadable-nul = enthält ein NUL-Zeichen; speichere die Datei als reinen Text in UTF-8
fault-unreadable-encoding = ist kein Text in UTF-8; speichere die Datei in UTF-8
fault-missing-id = hat keine id; gib jedem Hund eine id, die kein anderer Hund der Datei hat
fault-missing-mark = hat nichts, woran der Hund zu erkennen ist; gib einen Namen, einen Chip oder eine Registernummer an

## Dateien, die eingelesen werden: Arbeitsmappen

fault-unsupported-sheet = ist für Arbeitsmappen; ein Text hat keine Blätter
fault-unsupported-old-workbook = ist eine alte .xls-Datei oder durch ein Passwort gesperrt; speichere sie als .xlsx ohne Passwort oder als CSV
fault-unreadable-workbook = ist keine .xlsx-Arbeitsmappe oder eine beschädigte; speichere sie als .xlsx oder CSV
fault-unreadable-row-order = hat Zeilen in falscher Reihenfolge; speichere sie neu
fault-unreadable-part = hat einen Teil, der nicht UTF-8 ist; speichere sie neu als .xlsx oder CSV
fault-empty-workbook = hat kein Blatt
fault-not-found-sheet = { $sheet } ist keines ihrer Blätter; es gibt { $known }
fault-too-many-cells = hat mehr als { $most } Zellen; schick mehrere Dateien
fault-too-many-cells-of-row = hat eine Zelle jenseits der { $most } Spalten, die eine Zeile haben darf
fault-too-many-parts = ist ein Archiv von mehr als { $most } Teilen, keine Arbeitsmappe
fault-too-many-texts = hat mehr als { $most } Texte; schick mehrere Dateien
fault-too-long-row = hat mehr als { $most_bytes } Byte
fault-too-long-workbook = ist größer als { $most_mb } MB, mehr darf eine Arbeitsmappe nicht haben; schick CSV
fault-too-long-workbook-unpacked = ist entpackt größer als { $most_mb } MB, mehr darf eine Arbeitsmappe nicht haben; schick CSV

## Dateien, die eingelesen werden: Hunde und ihre Eltern

dog-with-id = { $name } (id { $id })
dog-born-with-id = { $name } (geboren { $born }, id { $id })
dog-on-line = { $name } (Zeile { $line })
dog-on-line-born = { $name } (Zeile { $line }, geboren { $born })
dog-of-kennel = der Hund { $id } des Zwingers
import-sire = Vater { $name }
import-dam = Mutter { $name }
fault-twice-id = die id { $id } steht schon in Zeile { $line }
fault-twice-dog = der Hund { $dog } steht schon in Zeile { $line }
fault-twice-chip = chip_number { $chip_number } steht schon in Zeile { $line }
fault-twice-dog-of-line = { $dog } ist auch der Hund von Zeile { $line }
fault-taken-chip = chip_number { $chip_number } gehört einem anderen Hund des Zwingers ({ $holder })
fault-too-early-death = died_on { $died_on } liegt vor der Geburt ({ $born })
fault-not-together-both-parents = { $dog } ist Vater und Mutter zugleich; ein Hund hat zwei Eltern
fault-wrong-sex-sire-on-line = Vater { $dog } ist in Zeile { $line } eine Hündin
fault-wrong-sex-dam-on-line = Mutter { $dog } ist in Zeile { $line } ein Rüde
fault-wrong-sex-sire-is-dam = Vater { $dog } ist in Zeile { $line } eine Mutter
fault-wrong-sex-dam-is-sire = Mutter { $dog } ist in Zeile { $line } ein Vater
fault-wrong-sex-sire-in-kennel = Vater { $dog } ist im Zwinger als Hündin eingetragen
fault-wrong-sex-dam-in-kennel = Mutter { $dog } ist im Zwinger als Rüde eingetragen
fault-wrong-sex-sire-in-file = das Geschlecht female (Hündin) weicht vom Eintrag des Zwingers ab (male, Rüde), der als Vater Nachkommen hat
fault-wrong-sex-dam-in-file = das Geschlecht male (Rüde) weicht vom Eintrag des Zwingers ab (female, Hündin), der als Mutter Nachkommen hat
fault-own-ancestor-in-file = { $dogs } wären ihre eigenen Ahnen; berichtige bei ihnen einen Vater oder eine Mutter
fault-own-ancestor-with-kennel = { $dogs } wären zusammen mit Hunden des Zwingers ihre eigenen Ahnen; berichtige bei ihnen einen Vater oder eine Mutter
fault-too-young-sire-in-file = Vater { $dog } ist { $born } geboren, nicht in einem Jahr vor seinem Nachkommen ({ $offspring_born })
fault-too-young-dam-in-file = Mutter { $dog } ist { $born } geboren, nicht in einem Jahr vor ihrem Nachkommen ({ $offspring_born })
fault-too-young-sire = Vater { $dog } ist { $born } geboren, nicht vor seinem Nachkommen { $offspring } ({ $offspring_born })
fault-too-young-dam = Mutter { $dog } ist { $born } geboren, nicht vor ihrem Nachkommen { $offspring } ({ $offspring_born })

## Archive

archive-name-no-text = ein Name, der kein Text ist
fault-unreadable-archive = ist keine ZIP-Datei oder keine ganze; schick das Archiv so, wie es geschrieben wurde
fault-unreadable-archive-file = lässt sich nicht entpacken; das Archiv ist beschädigt
fault-unreadable-archive-encoding = ist in Zeile { $line } nicht UTF-8
fault-unreadable-archive-line = ist in Zeile { $line } kein durch Kommas getrennter Text
fault-unreadable-manifest-unpacked = lässt sich nicht entpacken; das Archiv ist beschädigt
fault-unreadable-manifest-json = ist kein JSON (Zeile { $line }, Spalte { $column })
fault-unreadable-manifest = ist nicht, wie das Manifest eines Archivs ist; das Archiv wurde geändert oder ist beschädigt
fault-unknown-field-archive-file = ist keine Datei eines Archivs; nimm sie heraus
fault-unknown-field-archive-column = hat eine Spalte { $column }, die dieser Dienst nicht kennt, oder hat sie zweimal
fault-unknown-field-archive-column-near = hat eine Spalte { $column }, die dieser Dienst nicht kennt, oder hat sie zweimal; meintest du { $near }?
fault-too-many-archive-files = hat zu viele Dateien oder zwei mit demselben Namen
fault-too-many-archive-bytes = macht das Archiv entpackt größer als { $most_mb } MB
fault-too-long-archive-line = hat eine Zeile, die länger als 1 MB ist
fault-missing-manifest = fehlt; schick das Archiv so, wie es geschrieben wurde
fault-missing-archive-column = hat keine Spalte "{ $column }"
fault-unsupported-archive-format = hat ein anderes Format als { $format }
fault-unsupported-archive-version = hat ein neueres Format; dieser Dienst liest bis { $newest }
fault-not-found-archive-file = nennt { $file }, was nicht im Archiv ist, oder nennt es zweimal
fault-unknown-field-archive-file-untold = wird in manifest.json nicht genannt
fault-differs-archive-rows = hat { $rows } Zeilen, manifest.json sagt { $told }
fault-differs-archive-sum = ist nicht die Datei, deren Prüfsumme in manifest.json steht; sie wurde verändert oder beschädigt
fault-differs-archive-columns = hat andere Spalten, als manifest.json sagt
fault-differs-archive-cells = hat in Zeile { $line } { $count } Zellen; jede Zeile hat { $expected }
fault-not-an-id-of-row = ist keine id; gib die UUID der Zeile an
fault-malformed-archive-day = ist kein Tag; schreib ihn wie 2026-05-17
fault-malformed-archive-time = ist keine Zeit; schreib sie wie 2026-05-17T04:10:00.000000Z
fault-malformed-archive-number = ist keine Zahl
fault-malformed-archive-json = ist kein JSON (Spalte { $column })
fault-out-of-range-whole-number = ist keine ganze Zahl im erlaubten Bereich
fault-out-of-range-version = ist kleiner als { $least }

## Regeln: wofür jede da ist

rule-breeding-values-heritability-hips = Anteil der Unterschiede in Hüftgraden, der vererbt wird, für das Tiermodell.
rule-breeding-values-heritability-hip-laxity = Anteil der Unterschiede im Distraktionsindex, der vererbt wird, für das Tiermodell.
rule-breeding-values-heritability-elbows = Anteil der Unterschiede in Ellbogengraden, der vererbt wird, für das Tiermodell.
rule-breeding-values-heritability-patella = Anteil der Unterschiede in Patellagraden, der vererbt wird, für das Tiermodell.
rule-breeding-values-heritability-heart = Anteil der Unterschiede im Grad eines Herzgeräuschs, der vererbt wird, für das Tiermodell.
rule-breeding-values-least-results = Zuchtwerte werden genannt, wenn mindestens so viele Hunde ein Ergebnis haben, das zählt.
rule-breeding-values-told-apart-errors = Ein Zuchtwert gilt als besser oder schlechter als das Mittel, wenn er um mehr als so viele Standardfehler davon abweicht.
rule-breeding-breed-living-years = Ein Hund der Rasse gilt als lebend, wenn kein Tod eingetragen ist und er vor höchstens so vielen Jahren geboren wurde.
rule-breeding-inbreeding-ceiling = Eine Probeverpaarung, deren Welpen einen höheren Inzuchtkoeffizienten hätten, ist ausgeschlossen.
rule-breeding-kinship-full-scale = Mittlere Verwandtschaft der Welpen mit den lebenden Zuchttieren, die keinen Punkt mehr bringt.
rule-breeding-affected-chance-max = Eine Verpaarung mit einer größeren bekannten Wahrscheinlichkeit für einen betroffenen Welpen ist ausgeschlossen.
rule-breeding-dam-best-age-from-years = Jüngstes Alter der Hündin beim Deckakt, das die volle Punktzahl bringt.
rule-breeding-dam-best-age-to-years = Höchstes Alter der Hündin beim Deckakt, das die volle Punktzahl bringt.
rule-breeding-dam-decline-years = Alter der Hündin beim Deckakt, das keinen Punkt für das Alter mehr bringt; vom besten Alter an fällt es gleichmäßig ab.
rule-breeding-sire-decline-years = Alter des Rüden beim Deckakt, das keinen Punkt für das Alter mehr bringt.
rule-breeding-sire-best-age-to-years = Höchstes Alter des Rüden beim Deckakt, das die volle Punktzahl bringt.
rule-breeding-weight-inbreeding = Gewicht der Inzucht der Welpen in der Bewertung einer Verpaarung.
rule-breeding-weight-kinship = Gewicht der mittleren Verwandtschaft der Welpen mit den lebenden Zuchttieren in der Bewertung einer Verpaarung.
rule-breeding-weight-health = Gewicht der Gesundheitstests in der Bewertung einer Verpaarung.
rule-breeding-weight-age = Gewicht des Alters der Eltern in der Bewertung einer Verpaarung.
rule-breeding-unknown-part = Was ein Teil der Bewertung zählt, wenn seine Zahl nicht bekannt ist.
rule-breeding-low-pedigree-generations = Unter so vielen vollständig bekannten Generationen (Äquivalent) heißt die Inzucht der Welpen unterschätzt.
rule-breeding-pups-per-litter = Welpen, die in einem Wurf erwartet werden, für den Anteil der Verwandtschaft eines Welpen mit sich selbst an der mittleren Verwandtschaft der nächsten Generation.
rule-breeding-grid-pairs-limit = Meiste Paare, die ein Plan abwägen darf.
rule-breeding-proposal-animals-limit = Meiste Hündinnen und Rüden, unter denen ein Vorschlag wählen darf.
rule-breeding-proposal-litters-limit = Meiste Würfe, die ein Vorschlag verteilen darf.
rule-breeding-proposal-nodes-limit = Knoten der Suche (Branch and Bound), nach denen sie aufhört und ihre Lücke nennt.
rule-breeding-peeling-states-limit = Meiste Kombinationen von Genotypen unbekannter Gründertiere, die für einen Marker durchprobiert werden.
rule-breeding-peeling-table-limit = Größte Tabelle gemeinsamer Genotypen, wenn Ergebnisse von Verwandten verbunden werden.
rule-breeding-share-range-z = Halbe Breite des 95-%-Bereichs eines tatsächlichen Rasseanteils.
rule-breeding-double-merle-deaf-one-ear = Doppelmerles, die auf einem Ohr taub sind.
rule-breeding-double-merle-deaf-both-ears = Doppelmerles, die auf beiden Ohren taub sind.
rule-breeding-colour-cases-limit = Meiste gemeinsame Fälle der Genorte E, K und A, die einzeln durchprobiert werden; darüber sind die Bereiche breiter als nötig.
rule-breeding-breed-ancestors-limit = Meiste Ahnen, für die der wahrscheinliche Bereich eines Rasseanteils berechnet wird.
rule-cycle-nmol-per-ng = Rechnet Progesteron um.
rule-cycle-lh-ng-per-ml = Progesteron beim LH-Anstieg.
rule-cycle-lh-log-sd = Streuung dieses Werts zwischen Hündinnen, natürlicher Logarithmus.
rule-cycle-ovulation-ng-per-ml = Progesteron am Tag des Eisprungs.
rule-cycle-ovulation-log-sd = Streuung dieses Werts zwischen Hündinnen, natürlicher Logarithmus.
rule-cycle-after-ovulation-ng-per-ml = Liegt Progesteron darüber, ist der Eisprung vorbei.
rule-cycle-before-surge-ng-per-ml = Liegt Progesteron darunter, steht der LH-Anstieg noch bevor.
rule-cycle-rise-ng-per-ml = Geringstes Progesteron beim ersten deutlichen Anstieg.
rule-cycle-rise-ratio = Geringstes Verhältnis zum Grundwert beim ersten deutlichen Anstieg.
rule-cycle-lh-to-ovulation-days = Vom LH-Anstieg bis zum Eisprung.
rule-cycle-lh-to-ovulation-sd-days = Streuung dieser Zeit.
rule-cycle-lh-test-sd-days = Unsicherheit des LH-Anstiegs, wenn ein täglicher LH-Test positiv ist.
rule-cycle-dioestrus-after-ovulation-days = Vom Eisprung bis zum ersten Tag des Diöstrus.
rule-cycle-dioestrus-sd-days = Streuung dieser Zeit.
rule-cycle-least-sd-days = Keine Schätzung ist sicherer als das: Proben werden einmal am Tag genommen.
rule-cycle-extrapolation-share = Unsicherheit einer weitergerechneten Zeit, als Anteil der Zeit, über die weitergerechnet wird.
rule-cycle-first-test-day = Erster Progesterontest; Tag 1 ist der erste Tag der Läufigkeit.
rule-cycle-test-interval-low-days = Nächster Test, solange Progesteron unter dem Wert vor dem LH-Anstieg liegt.
rule-cycle-test-interval-rising-days = Nächster Test, während es bis zum LH-Anstieg steigt.
rule-cycle-test-interval-surge-days = Nächster Test zwischen LH-Anstieg und Eisprung.
rule-cycle-natural-from-days = Vom Eisprung (LH-Anstieg + 2) bis zum Beginn der besten Tage für den natürlichen Deckakt; die Seite einer Tierklinik nennt 2.
rule-cycle-natural-to-days = Vom Eisprung bis zum Ende der besten Tage für den natürlichen Deckakt (LH-Anstieg + 6); die Seite einer Tierklinik nennt 6.
rule-cycle-cervix-closes-from-lh-days = Vom LH-Anstieg bis zum frühesten Tag, an dem sich der Muttermund schließt: Spätere natürliche Deckakte führen seltener zur Trächtigkeit.
rule-cycle-cervix-closes-to-lh-days = Vom LH-Anstieg bis zum spätesten Tag, an dem sich der Muttermund schließt.
rule-cycle-insemination-once-days = Vom Eisprung bis zu einer einzigen Besamung mit frischem oder gekühltem Samen.
rule-cycle-insemination-first-days = Vom Eisprung bis zur ersten von zwei Besamungen mit frischem oder gekühltem Samen.
rule-cycle-insemination-second-days = Vom Eisprung bis zur zweiten von zwei Besamungen mit frischem oder gekühltem Samen.
rule-cycle-frozen-days = Vom Eisprung bis zu einer einzigen Besamung mit Gefriersamen.
rule-cycle-fertile-from-lh-days = Vom LH-Anstieg bis zum ersten Tag, an dem ein Deckakt fruchtbar sein kann.
rule-cycle-fertile-to-lh-days = Vom LH-Anstieg bis zum letzten Tag, an dem ein Deckakt fruchtbar sein kann.
rule-cycle-heat-longest-days = Messwerte, die später nach dem Beginn liegen, gehören zu einer anderen Läufigkeit.
rule-cycle-interval-median-days = Vom Beginn einer Läufigkeit bis zur nächsten, alle Hündinnen.
rule-cycle-interval-log-sd = Streuung einzelner Abstände über alle Hündinnen, natürlicher Logarithmus.
rule-cycle-interval-repeatability = Anteil dieser Varianz, der zwischen den Hündinnen liegt.
rule-cycle-interval-prior-df = So viele Beobachtungen ist die Streuung innerhalb einer Hündin wert, bevor ihre eigenen bekannt sind.
rule-cycle-interval-shortest-days = Ein kürzerer Abstand gilt als gespaltene Läufigkeit.
rule-cycle-interval-longest-days = In einem längeren Abstand wurde wohl eine Läufigkeit übersehen.
rule-cycle-pregnancy-interval-days = Was eine Trächtigkeit zum Abstand hinzufügt: Sie verändert ihn nicht.
rule-cycle-first-heat-earliest-days = Alter bei der frühesten ersten Läufigkeit.
rule-cycle-first-heat-latest-days = Alter bei der spätesten ersten Läufigkeit.
rule-cycle-coverage = Geringste Wahrscheinlichkeit, dass ein genannter Zeitraum das Ereignis enthält.
rule-cycle-oestrus-cornified-fraction = Ein Abstrich mit mindestens diesem Anteil verhornter Zellen ist einer des Östrus.
rule-dam-after-birth-fever-c = Fieber der Hündin zu jeder Zeit nach der Geburt: handeln.
rule-dam-after-birth-raised-c = Eine Temperatur darüber wird nach den ersten Tagen noch einmal gemessen.
rule-dam-after-birth-first-days-hours = Zeit nach der Geburt, in der ein leichter Anstieg üblich ist.
rule-dam-after-birth-low-c = Darunter ist eine Hündin nach der Geburt zu kalt.
rule-dam-after-birth-very-high-c = Von da an ist eine Hündin in Gefahr: sofort anrufen.
rule-dam-after-birth-green-hours = Grüner oder schwarzer Ausfluss länger als das nach dem letzten Welpen: Eine Nachgeburt kann zurückgeblieben sein.
rule-dam-after-birth-lochia-days = Bis zu diesem Tag endet der Ausfluss gewöhnlich.
rule-dam-after-birth-lochia-long-days = Ausfluss über diesen Tag hinaus ist nicht üblich.
rule-dam-after-birth-metritis-days = Zeit nach der Geburt, in der eine Infektion der Gebärmutter typisch ist.
rule-dam-after-birth-low-calcium-to-day = Kalziummangel der säugenden Hündin kommt meist vor diesem Tag.
rule-dam-after-birth-appetite-hours = Eine säugende Hündin, die so lange nicht gefressen hat, wird von einem Tierarzt angesehen.
rule-dam-after-birth-sign-hours = Wie lange ein Zeichen, ein Ausfluss oder eine Temperatur der Hündin zählt, was auch danach gemessen wurde.
rule-dam-after-birth-mastitis-hours = Wie lange ein Blick auf ihr Gesäuge zählt.
rule-dam-after-birth-discharge-looked-at-hours = Wie lange nach der letzten Beobachtung auf einen Ausfluss hingewiesen wird, der seit Wochen andauert.
rule-dam-after-birth-watched-days = Eine Hündin wird bis so viele Tage nach der letzten Geburt für den Wurf beobachtet.
rule-dating-coverage = Geringste Wahrscheinlichkeit, dass der genannte Zeitraum die Geburt enthält.
rule-dating-lh-days = Vom LH-Anstieg bis zur Geburt.
rule-dating-lh-within-1 = Anteil der Trächtigkeiten innerhalb von 1 Tag um LH + 65, veröffentlicht als mehr als 95 %.
rule-dating-progesterone-rise-days = Vom ersten deutlichen Progesteronanstieg bis zur Geburt.
rule-dating-progesterone-rise-within-1 = Anteil innerhalb von 1 Tag um Progesteronanstieg + 65.
rule-dating-progesterone-rise-within-2 = Anteil innerhalb von 2 Tagen um Progesteronanstieg + 65.
rule-dating-ovulation-days = Vom Eisprung bis zur Geburt; die Übereinkunft von Tag 63.
rule-dating-ovulation-sd-days = Streuung der Geburt um Eisprung + 63 (angegeben als plus oder minus 1).
rule-dating-ovulation-by-progesterone-days = Vom Eisprung, geschätzt bei Progesteron von 6 ng/mL, bis zur Geburt (162 Trächtigkeiten, 53 Rassen).
rule-dating-ovulation-by-progesterone-sd-days = Die Standardabweichung dazu.
rule-dating-dioestrus-days = Vom ersten Tag des zytologischen Diöstrus bis zur Geburt.
rule-dating-dioestrus-within-1 = Anteil innerhalb von 1 Tag um den ersten Tag des Diöstrus + 57.
rule-dating-dioestrus-within-2 = Anteil innerhalb von 2 Tagen um den ersten Tag des Diöstrus + 57.
rule-dating-gestation-sd-days = Streuung der Tragezeit selbst, die alle Hinweise auf den Eisprung gemeinsam haben.
rule-dating-mating-earliest-days = Vom ersten Deckakt bis zur frühesten Geburt.
rule-dating-mating-latest-days = Vom ersten Deckakt bis zur spätesten Geburt.
rule-dating-last-mating-earliest-days = Vom letzten von mehreren Deckakten bis zur frühesten Geburt.
rule-dating-mating-edge-sd-days = Unschärfe beider Enden des Zeitraums aus den Deckakten: die Streuung um Eisprung + 63.
rule-dating-oocyte-maturation-days = Vom Eisprung bis zu den ersten reifen Eizellen.
rule-dating-chilled-semen-life-days = Längste Lebensdauer von gekühltem Samen in der Hündin (24-72 h).
rule-dating-frozen-semen-life-days = Längste Lebensdauer von Gefriersamen in der Hündin (etwa 12, höchstens 24 h).
rule-dating-ultrasound-icc-week4-within-1 = Anteil innerhalb von 1 Tag, innere Fruchthöhle, Woche 4.
rule-dating-ultrasound-icc-week4-within-2 = Anteil innerhalb von 2 Tagen, innere Fruchthöhle, Woche 4.
rule-dating-ultrasound-icc-week5-within-1 = Anteil innerhalb von 1 Tag, innere Fruchthöhle, Woche 5.
rule-dating-ultrasound-icc-week5-within-2 = Anteil innerhalb von 2 Tagen, innere Fruchthöhle, Woche 5.
rule-dating-ultrasound-bp-week5-within-1 = Anteil innerhalb von 1 Tag, biparietaler Durchmesser, Woche 5.
rule-dating-ultrasound-bp-week5-within-2 = Anteil innerhalb von 2 Tagen, biparietaler Durchmesser, Woche 5.
rule-dating-ultrasound-bp-week6-within-1 = Anteil innerhalb von 1 Tag, biparietaler Durchmesser, Woche 6.
rule-dating-ultrasound-bp-week6-within-2 = Anteil innerhalb von 2 Tagen, biparietaler Durchmesser, Wochen 6 bis 8 (der niedrigste der für die Wochen 5 bis 8 genannten Werte).
rule-dating-ultrasound-bp-week9-within-1 = Anteil innerhalb von 1 Tag, biparietaler Durchmesser, Woche 9.
rule-dating-ultrasound-bp-week9-within-2 = Anteil innerhalb von 2 Tagen, biparietaler Durchmesser, Woche 9.
rule-dating-ultrasound-gsd-icc-within-1 = Anteil innerhalb von 1 Tag, Formel für den Deutschen Schäferhund, innere Fruchthöhle.
rule-dating-ultrasound-gsd-icc-within-2 = Anteil innerhalb von 2 Tagen, Formel für den Deutschen Schäferhund, innere Fruchthöhle.
rule-dating-ultrasound-gsd-bp-within-1 = Anteil innerhalb von 1 Tag, Formel für den Deutschen Schäferhund, biparietaler Durchmesser.
rule-dating-ultrasound-gsd-bp-within-2 = Anteil innerhalb von 2 Tagen, Formel für den Deutschen Schäferhund, biparietaler Durchmesser.
rule-dating-ultrasound-mixed-within-1 = Anteil innerhalb von 1 Tag, gemischte Ultraschallverfahren; verwendet, wo keine bessere Zahl veröffentlicht ist.
rule-dating-ultrasound-mixed-within-2 = Anteil innerhalb von 2 Tagen, gemischte Ultraschallverfahren.
rule-dating-radiograph-within-1 = Anteil innerhalb von 1 Tag, Verknöcherung im Röntgenbild.
rule-dating-radiograph-within-2 = Anteil innerhalb von 2 Tagen, Verknöcherung im Röntgenbild.
rule-dating-wide-sd-days = Streuung des breiten Teils eines Verfahrens, dessen veröffentlichte Anteile dickere Enden haben als die Normalverteilung.
rule-dating-recording-error = Wahrscheinlichkeit, dass ein Hinweis schlicht falsch ist (ein falsch aufgeschriebener Tag), sodass kein einzelner alle anderen ausschließt.
rule-dating-repeat-weight = Gewicht jedes weiteren Maßes derselben Art: Seine Fehler sind großenteils dieselben.
rule-dating-conflict-overlap = Zwei Hinweise widersprechen sich, wenn sich ihre eigenen Wahrscheinlichkeiten nach Tagen weniger als das überdecken.
rule-dating-small-litter-pups = Größter Wurf, der für die Tragezeit als klein zählt.
rule-dating-small-litter-longer-days = Wie viel länger Trächtigkeiten kleiner Würfe dauern.
rule-dating-small-litter-share = Anteil kleiner Würfe unter denen, auf denen die veröffentlichten Tragezeiten beruhen.
rule-dating-low-progesterone-ng-per-ml = Progesteron darunter nahe am Termin: Die Öffnung des Muttermunds und damit die Geburt ist nah.
rule-dating-low-progesterone-hours = Zeit, in der sich der Muttermund bei den meisten öffnet.
rule-dating-low-progesterone-share = Anteil, bei dem das in dieser Zeit geschieht (91 %).
rule-dating-falling-progesterone-ng-per-ml = Progesteron darunter nahe am Termin: Die Öffnung des Muttermunds steht bevor (8,7 nmol/L).
rule-dating-falling-progesterone-hours = Zeit, in der sich der Muttermund dann bei den meisten öffnet.
rule-dating-falling-progesterone-share = Anteil, bei dem das in dieser Zeit geschieht.
rule-dating-high-progesterone-ng-per-ml = Progesteron von da an macht eine Öffnung des Muttermunds innerhalb von Stunden unwahrscheinlich (15,8 nmol/L).
rule-dating-high-progesterone-hours = Die gemeinte Zeit.
rule-dating-high-progesterone-share = Anteil, bei dem sich der Muttermund in dieser Zeit trotzdem öffnet.
rule-dating-low-progesterone-waits-ng-per-ml = Bis zu diesem Wert nahe am Termin steht die Geburt an; siehe low_progesterone_waits_hours.
rule-dating-low-progesterone-waits-hours = So lange nach einem niedrigen Wert ohne Welpen: den Tierarzt anrufen.
rule-dating-temperature-fall-mean-hours = Vom Temperaturabfall bis zur Geburt, Mittelwert.
rule-dating-temperature-fall-sd-hours = Die Standardabweichung dazu: 0,8 h mal Wurzel aus 45.
rule-dating-temperature-fall-true-share = Gewicht eines aufgeschriebenen Abfalls als Beginn der Geburt.
rule-dating-temperature-fall-seen-share = Anteil der Hündinnen, bei denen vor der Geburt ein Temperaturabfall gemessen wird (Mitte von 0,53 bis 0,69): Dass keiner gesehen wurde, beweist nichts.
rule-dating-overdue-lh-days = Mehr als so viele Tage nach dem LH-Anstieg: überfällig, den Tierarzt fragen.
rule-dating-call-lh-days = Mehr als so viele Tage nach dem LH-Anstieg: jetzt den Tierarzt anrufen.
rule-dating-overdue-progesterone-rise-days = Mehr als so viele Tage nach dem ersten Progesteronanstieg: überfällig, den Tierarzt fragen.
rule-dating-call-progesterone-rise-days = Mehr als so viele Tage nach dem ersten Progesteronanstieg: jetzt den Tierarzt anrufen.
rule-dating-overdue-dioestrus-days = Mehr als so viele Tage nach dem ersten Tag des Diöstrus: überfällig, den Tierarzt fragen.
rule-dating-call-dioestrus-days = Mehr als so viele Tage nach dem ersten Tag des Diöstrus: jetzt den Tierarzt anrufen.
rule-dating-overdue-ovulation-days = Mehr als so viele Tage nach dem Eisprung: überfällig, den Tierarzt fragen.
rule-dating-call-ovulation-days = Mehr als so viele Tage nach dem Eisprung: jetzt den Tierarzt anrufen.
rule-dating-overdue-mating-days = Wo nur Deckakte bekannt sind, mehr als so viele Tage nach dem ersten: überfällig, den Tierarzt fragen.
rule-dating-call-mating-days = Wo nur Deckakte bekannt sind, mehr als so viele Tage nach dem ersten: jetzt den Tierarzt anrufen.
rule-dating-overdue-scan-days = Wo nichts den Eisprung datiert, mehr als so viele Tage nach dem Wurftermin aus dem Ultraschall oder vom Tierarzt: überfällig, den Tierarzt fragen.
rule-dating-call-scan-days = Wo nichts den Eisprung datiert, mehr als so viele Tage nach dem Wurftermin aus dem Ultraschall oder vom Tierarzt: jetzt den Tierarzt anrufen.
rule-dating-after-window-days = So lange nach dem Ende aller Zeiträume gibt es keine Antwort mehr: Der Wurf muss abgeschlossen werden.
rule-dating-scan-day-earliest = Frühester Tag für ein Ultraschallmaß.
rule-dating-scan-day-reliable = Von diesem Tag an ist Ultraschall verlässlicher.
rule-dating-mating-before-heat-days = Ein Deckakt so viele Tage vor dem aufgeschriebenen Beginn der Läufigkeit wird noch geglaubt (der Beginn wird spät bemerkt).
rule-dating-mating-after-heat-days = Ein Deckakt, der später nach dem Beginn der Läufigkeit liegt, gehört zu einer anderen Läufigkeit.
rule-dating-overdue-noted-days = So viele Tage, bevor sie überfällig ist, wird angemerkt, von wann an ein Tierarzt gefragt wird.
rule-dating-sign-days = Eine Krankheit oder ein Zeichen, das den Tierarzt braucht, gilt als eines von jetzt, wenn es höchstens so alt ist.
rule-expected-pups-mean = Mittlere Wurfgröße über alle Rassen.
rule-expected-pups-relative-sd = Standardabweichung der Wurfgröße als Anteil ihres Mittelwerts.
rule-expected-pups-mean-under-5-kg = Mittlere Wurfgröße von Hündinnen unter 5 kg.
rule-expected-pups-mean-5-to-10-kg = Mittlere Wurfgröße von Hündinnen mit 5-10 kg.
rule-expected-pups-mean-10-to-25-kg = Mittlere Wurfgröße von Hündinnen mit 10-25 kg.
rule-expected-pups-mean-25-to-45-kg = Mittlere Wurfgröße von Hündinnen mit 25-45 kg.
rule-expected-pups-mean-over-45-kg = Mittlere Wurfgröße von Hündinnen über 45 kg.
rule-expected-pups-repeatability = Anteil der Varianz zwischen Würfen, der zwischen Hündinnen einer Rasse liegt.
rule-expected-pups-fresh-fewer = So viele Welpen weniger bei Besamung mit frischem oder gekühltem Samen.
rule-expected-pups-frozen-fewer = So viele Welpen weniger bei Besamung mit Gefriersamen.
rule-expected-pups-litter-inbreeding-slope = Veränderung durch die Inzucht des Wurfs (0-1).
rule-expected-pups-dam-inbreeding-slope = Veränderung durch die Inzucht der Hündin (0-1).
rule-expected-pups-ultrasound-exact = Zählungen im Ultraschall, die genau stimmten.
rule-expected-pups-ultrasound-within-1 = Zählungen im Ultraschall, die auf einen Welpen genau waren.
rule-expected-pups-count-error = Wahrscheinlichkeit, dass eine Zählung im Röntgenbild oder eine angegebene Grenze zu hoch ist.
rule-expected-pups-count-missed = Wahrscheinlichkeit, dass eine Zählung im Röntgenbild einen Welpen übersehen hat: Eine Zählung ist eine Untergrenze.
rule-expected-pups-ultrasound-margin = So viele Welpen weniger, als der Ultraschall zählte, gelten als sicher.
rule-expected-pups-miss-ratio = Wie viel unwahrscheinlicher jeder weitere Welpe Abweichung ist.
rule-expected-pups-xray-count-day = Von diesem Tag an zählt ein Röntgenbild; vorher ist es nur eine Untergrenze.
rule-expected-pups-most = Größter Wurf, der betrachtet wird.
rule-expected-pups-coverage = Geringste Wahrscheinlichkeit, dass der genannte Bereich den Wurf enthält.
rule-feeding-rer-factor = Energie in Ruhe: das mal Körpergewicht in kg hoch 0,75.
rule-feeding-gestation-early-low = Energie in den Wochen 1 bis 4 der Trächtigkeit, unteres Ende.
rule-feeding-gestation-early-high = Energie in den Wochen 1 bis 4 der Trächtigkeit, oberes Ende.
rule-feeding-gestation-late-low = Energie in den letzten fünf Wochen der Trächtigkeit, unteres Ende.
rule-feeding-gestation-late-high = Energie in den letzten fünf Wochen der Trächtigkeit, oberes Ende.
rule-feeding-gestation-base = Energie in den letzten fünf Wochen der Trächtigkeit: das mal kg hoch 0,75, dazu gestation_per_kg mal kg.
rule-feeding-gestation-per-kg = Siehe gestation_base.
rule-feeding-gestation-late-from-day = Tag der Trächtigkeit, von dem an der höhere Bedarf zählt (die letzten fünf von neun Wochen).
rule-feeding-lactation-base = Energie für den Erhalt während des Säugens: das mal kg hoch 0,75.
rule-feeding-lactation-first-pups = Kommt für jeden der ersten vier Welpen hinzu, mal Körpergewicht und den Faktor der Woche.
rule-feeding-lactation-more-pups = Kommt für jeden der Welpen fünf bis acht hinzu.
rule-feeding-lactation-week-1 = Faktor der Milch in Woche 1.
rule-feeding-lactation-week-2 = Faktor der Milch in Woche 2.
rule-feeding-lactation-week-3 = Faktor der Milch in Woche 3.
rule-feeding-lactation-week-4 = Faktor der Milch in Woche 4.
rule-feeding-lactation-quick-low = Energie während des Säugens nach der Faustregel, unteres Ende.
rule-feeding-lactation-quick-high = Energie während des Säugens nach der Faustregel, oberes Ende.
rule-feeding-lactation-peak-base = Energie auf der Höhe des Säugens ohne Welpen, nach der Faustregel.
rule-feeding-lactation-peak-per-pup = Anteil von lactation_peak_base, der für jeden Welpen hinzukommt.
rule-feeding-water-ml-per-kcal = Wasser, das auf der Höhe des Säugens je benötigter kcal getrunken wird.
rule-feeding-pup-week-1 = Energie eines von Hand gefütterten Welpen, Woche 1, nach der niedrigeren der veröffentlichten Zahlen: Damit beginnt die Fütterung.
rule-feeding-pup-week-2 = Energie eines von Hand gefütterten Welpen, Woche 2, nach der niedrigeren der veröffentlichten Zahlen: Damit beginnt die Fütterung.
rule-feeding-pup-week-3 = Energie eines von Hand gefütterten Welpen, Woche 3, nach der niedrigeren der veröffentlichten Zahlen: Damit beginnt die Fütterung.
rule-feeding-pup-week-4 = Energie eines von Hand gefütterten Welpen, Woche 4, nach der niedrigeren der veröffentlichten Zahlen: Damit beginnt die Fütterung.
rule-feeding-feeds-week-1 = Mahlzeiten am Tag, Woche 1.
rule-feeding-feeds-week-2 = Mahlzeiten am Tag, Woche 2.
rule-feeding-feeds-week-3 = Mahlzeiten am Tag, Woche 3.
rule-feeding-feeds-week-4 = Mahlzeiten am Tag, Woche 4.
rule-feeding-feeds-most = Meiste Mahlzeiten am Tag.
rule-feeding-interval-most-hours = Längste Zeit zwischen Mahlzeiten von Hand in den Wochen 1 und 2.
rule-feeding-interval-small-hours = Längste Zeit zwischen Mahlzeiten von Hand in den Wochen 1 und 2 bei Welpen von Zwergrassen, winzigen und schwachen Welpen.
rule-feeding-toy-adult-g = Endgewicht, unter dem eine Rasse als Zwergrasse zählt: Ihre Welpen werden so oft gefüttert wie schwache.
rule-feeding-tiny-pup-g = Ein Welpe, der in den Wochen 1 und 2 weniger wiegt, wird so oft gefüttert wie ein schwacher.
rule-feeding-pup-energy-nrc = Energie eines Welpen bis zum Absetzen, nach der höheren der veröffentlichten Zahlen: Auf sie hin werden die Mahlzeiten erhöht, wenn der Welpe nicht zunimmt.
rule-feeding-stomach-ml-per-100-g = Das Meiste, was eine Mahlzeit fassen darf.
rule-feeding-replacer-kcal-per-ml = Energie einer Ersatzmilch, wenn das Etikett nicht bekannt ist; das untere Ende hält den Welpen satt.
rule-feeding-too-cold-to-feed = Unter dieser Körpertemperatur kann ein Welpe nicht verdauen: erst wärmen.
rule-feeding-first-days = Tage am Anfang der Handaufzucht, an denen weniger als die volle Menge gegeben wird (im Buch steht: erste Tage).
rule-feeding-little-taken = Anteil der für 24 Stunden geplanten Menge, unter dem ein Welpe zu wenig nimmt.
rule-feeding-late-feed-minutes = Auf eine Mahlzeit, die sich so lange verspätet, wird hingewiesen.
rule-feeding-solids-from-day = Alter, von dem an feste Nahrung angeboten wird.
rule-feeding-weaned-from-day = Frühestes Alter, in dem das Absetzen gewöhnlich abgeschlossen ist.
rule-feeding-weaned-by-day = Spätestes Alter, in dem das Absetzen gewöhnlich abgeschlossen ist.
rule-feeding-mer-factor = Energie für den Erhalt eines erwachsenen Hundes: das mal kg hoch 0,75.
rule-feeding-growing-to-half = Energie eines abgesetzten Welpen bis zur Hälfte seines Endgewichts.
rule-feeding-growing-to-four-fifths = Energie von der Hälfte bis zu vier Fünfteln des Endgewichts.
rule-feeding-growing-to-grown = Energie von vier Fünfteln des Endgewichts, bis er ausgewachsen ist.
rule-feeding-growing-half = Anteil des Endgewichts, unter dem growing_to_half zählt.
rule-feeding-growing-four-fifths = Anteil des Endgewichts, unter dem growing_to_four_fifths zählt.
rule-feeding-growing-fediaf-to-half = Energie eines abgesetzten Welpen bis zur Hälfte seines Endgewichts, nach dem anderen veröffentlichten Verfahren.
rule-feeding-growing-fediaf-to-four-fifths = Energie von der Hälfte bis zu vier Fünfteln des Endgewichts, nach dem anderen veröffentlichten Verfahren.
rule-feeding-growing-fediaf-to-grown = Energie von vier Fünfteln des Endgewichts, bis er ausgewachsen ist, nach dem anderen veröffentlichten Verfahren.
rule-feeding-large-breed-g = Endgewicht, über dem ein wachsender Welpe am unteren Ende der veröffentlichten Energien beginnt.
rule-feeding-by-hand-feeds = Ein Welpe mit so vielen Mahlzeiten von Hand am Tag lebt von ihnen, und auf eine verspätete wird hingewiesen.
rule-feeding-nursed-days = Ein Wurf, der nicht als abgesetzt eingetragen ist, gilt bis so viele Tage nach der letzten Geburt als gesäugt.
rule-feeding-carried-days = Ein Wurf, der nicht gekommen ist, gilt bis zu diesem Trächtigkeitstag als getragen.
rule-feeding-early-days = Jünger als so viele Tage hat ein Welpe kaum Vorrat: Zwischen zwei Mahlzeiten darf höchstens die längste Zeit liegen.
rule-feeding-by-hand-until-hours = Ein Welpe gilt bis so lange nach seiner letzten Mahlzeit aus der Hand als von Hand gefüttert.
rule-feeding-temperature-recent-hours = Eine Temperatur, die jünger ist, sagt, wie ein Welpe jetzt von Hand zu füttern ist.
rule-go-home-weight-recent = Alter des letzten Wiegens, bis zu dem von einem Welpen vor der Abgabe gesagt wird, dass er zunimmt
rule-go-home-noted-days = So viele Tage, bevor ein zugesagter Welpe alt genug für die Abgabe ist, wird ein fehlender Schritt angemerkt
rule-growth-early-growth-risk = Wachstum von der Geburt bis Tag 2 bis zu diesem Wert geht mit einem höheren Sterberisiko an den Tagen 2 bis 21 einher.
rule-growth-early-growth-day = Alter, in dem das frühe Wachstum beurteilt wird.
rule-growth-first-loss-hours = Ein leichter Gewichtsverlust innerhalb dieser Zeit nach der Geburt kann normal sein.
rule-growth-early-loss = Verlust an Geburtsgewicht in den ersten zwei Tagen, der beobachtet wird, wenn er kleiner ist, und bei dem gehandelt wird, wenn er erreicht ist.
rule-growth-early-loss-hours = Die Zeit, in der ein Verlust unter early_loss beobachtet wird.
rule-growth-must-gain-by-hours = Ein Welpe, der early_loss oder mehr verloren hat und bis zu diesem Alter nicht zunimmt, wird sofort zugefüttert.
rule-growth-below-litter-mean = Ein Welpe so weit unter dem mittleren Gewicht seines Wurfs hat ein hohes Sterberisiko, wenn er nicht von Hand gefüttert wird.
rule-growth-doubled-by-day = Bis zu diesem Alter ist das Geburtsgewicht gewöhnlich verdoppelt (Tage 8 bis 10).
rule-growth-doubled-late-day = Spätestes übliches Alter, in dem das Geburtsgewicht verdoppelt ist (Tage 10 bis 12).
rule-growth-tripled-by-day = Bis zu diesem Alter ist das Geburtsgewicht gewöhnlich verdreifacht.
rule-growth-standstill = Eine tägliche Zunahme bis zu diesem Wert zählt als Stillstand.
rule-growth-yesterday-hours = Wie lange vor dem letzten Wiegen das liegen soll, mit dem es verglichen wird.
rule-growth-yesterday-min-hours = Wägungen, die näher beieinander liegen, werden für die Zunahme seit gestern nicht verglichen.
rule-growth-weigh-again-hours = Wann ein Welpe, der abgenommen hat oder stillstand, wieder zu wiegen ist.
rule-growth-unweighed-hours = Auf einen gesäugten Welpen, der so lange nicht gewogen wurde, wird hingewiesen.
rule-growth-nursing-days = Alter, bis zu dem bei Stillstand am selben Tag gehandelt wird.
rule-growth-weighing-error = Üblicher Fehler einer Wägung (Waage, Bewegung, voll oder leer), als Standardabweichung.
rule-growth-implausible-sd = Bei einem Gewicht, das weiter von der Vorhersage abweicht, wird nachgefragt, bevor es angenommen wird.
rule-growth-implausible-step = Kleinster Abstand von der Vorhersage, bei dem nachgefragt wird: Ein kranker Welpe darf nicht für einen Schreibfehler gehalten werden.
rule-growth-clock-tolerance = Wie weit nach jetzt ein Gewicht liegen darf, bevor seine Zeit abgelehnt wird.
rule-growth-onset-later = Anteil der Welpen, die zwischen Tag 8 und 8 Wochen sterben.
rule-growth-recovery = Wahrscheinlichkeit am Tag, dass sich ein kümmernder Welpe erholt, wie sie die Frühwarnung annimmt.
rule-growth-outlier = Anteil der Wägungen gesunder Welpen, die weit danebenliegen, wie ihn die Frühwarnung annimmt.
rule-growth-likely-sd = Ein berichtigtes Gewicht innerhalb dieses Abstands von der Vorhersage wird als das gemeinte vorgeschlagen.
rule-growth-swap-log-odds = Zwei Gewichte werden als vertauscht vorgeschlagen, wenn der Tausch so viel wahrscheinlicher ist (6 ist 400 zu 1).
rule-growth-dam-weight-multiple = Bei einem Welpen im Wurf, der mehr als diesen Anteil des Gewichts seiner Mutter wiegt, wird nachgefragt.
rule-growth-early-death-base = Anteil der geborenen Welpen, die lebend zur Welt kommen und in Woche 1 sterben.
rule-growth-own-lines-dogs = Ab so vielen Hunden einer Rasse und eines Geschlechts werden die Gewichte der eigenen Linien genutzt, neben der veröffentlichten Norm.
rule-growth-faltering-onset = Wahrscheinlichkeit am Tag, dass ein gedeihender Welpe zurückbleibt, wie sie die Frühwarnung annimmt.
rule-growth-faltering-share = Anteil der erwarteten Zunahme, den ein zurückbleibender Welpe noch hat, wie ihn die Frühwarnung annimmt.
rule-growth-faltering-rate-sd = Streuung der Wachstumsrate zurückbleibender Welpen, wie sie die Frühwarnung annimmt.
rule-growth-faltering-worse = Wahrscheinlichkeit am Tag, dass ein zurückbleibender Welpe abzunehmen beginnt, wie sie die Frühwarnung annimmt.
rule-growth-failing-at-birth = Anteil der nach ihrem Geburtsgewicht sterbenden Welpen, der von der ersten Wägung an zurückbleibt.
rule-growth-failing-rate = Wachstumsrate eines kümmernden Welpen, wie sie die Frühwarnung annimmt.
rule-growth-failing-rate-sd = Streuung der Wachstumsrate kümmernder Welpen, wie sie die Frühwarnung annimmt.
rule-growth-warning-watch = Wahrscheinlichkeit, dass ein Welpe kümmert, von der an er auf die Beobachtungsliste kommt; an simulierten Würfen festgelegt.
rule-growth-warning-act = Wahrscheinlichkeit, dass ein Welpe kümmert, von der an die Warnung zum Handeln auffordert; an simulierten Würfen festgelegt.
rule-growth-weighed-daily = Alter, bis zu dem jeder Welpe täglich gewogen werden soll.
rule-growth-beyond-noise = Eine Zunahme so weit unter der erwarteten, gemessen daran, wie Waage und ein gesunder Tag schwanken, ruft; ein kleinerer Rückstand bittet um erneutes Wiegen.
rule-growth-daily-spread = Wie sehr die wahre Zunahme eines gesunden Welpen von Tag zu Tag schwankt, als Standardabweichung.
rule-growth-birth-weight-hours = Wie lange ein sehr niedriges Geburtsgewicht für sich allein ruft; danach zeigt es die Zunahme.
rule-growth-first-weighing-hours = Wo kein Geburtsgewicht eingetragen ist, steht die erste Wägung bis zu diesem Alter dafür.
rule-growth-early-growth-within-hours = Die frühe Zunahme sagt eine Wägung, die höchstens so weit von ihrem Tag entfernt ist.
rule-growth-multiple-fresh-hours = Dass ein Welpe sein Geburtsgewicht nicht verdoppelt oder verdreifacht hat, sagt ein Gewicht, das höchstens so alt ist.
rule-growth-tripled-told-days = Dass ein Welpe sein Geburtsgewicht nicht verdreifacht hat, wird bis so viele Tage nach dem Tag gesagt, an dem Welpen es meist haben.
rule-dam-after-birth-healed-days = Tage nach der Geburt, bis zu denen die Schleimhaut der Gebärmutter wieder heil ist.
rule-dam-after-birth-low-calcium-peak-from-day = Erster Tag der Wochen, in denen Kalziummangel meist kommt.
rule-dam-after-birth-low-calcium-peak-to-day = Letzter Tag dieser Wochen.
rule-dam-after-birth-small-dam-g = Eine Hündin von höchstens diesem Gewicht hat mehr Gefahr von Kalziummangel.
rule-dam-after-birth-large-litter-share = Ein Wurf von mindestens so vielmal dem Üblichen für die Größe der Hündin gilt als groß.
rule-dam-after-birth-nursing-loss = Eine Hündin, die mindestens diesen Anteil unter ihrem üblichen Gewicht ist, braucht mehr Futter und einen Tierarzt, der sie ansieht.
rule-dam-after-birth-rebred-weight-loss = Eine Hündin, die mehr als diesen Anteil unter ihrem üblichen Gewicht ist, hat sich für einen neuen Wurf noch nicht erholt.
rule-dam-after-birth-rebred-weight-days = Ein Gewicht einer Hündin, das höchstens so alt ist, sagt, ob sie sich erholt hat.
rule-dam-after-birth-rebred-caesareans = Ab so vielen Würfen durch Kaiserschnitt wird ein Tierarzt gefragt, bevor sie wieder gedeckt wird.
rule-newborn-exam-asked-hours = Wie lange nach der Geburt gefragt wird, ob ein Neugeborener von Kopf bis Rute angesehen wurde.
rule-newborn-exam-told-days = Alter in Tagen, unter dem gemeldet wird, was an einem Neugeborenen gefunden wurde, bis ein Tierarzt es gesehen hat oder es ist, wie es sein soll.
rule-newborn-fading-to-day = Alter, bis zu dem Gewichte, Temperatur, Trinken und Zeichen zusammen gewogen werden.
rule-newborn-fading-act = Von dieser Wahrscheinlichkeit an, dass er immer schwächer wird, ruft ein Welpe heute, wenn zwei Arten von Hinweisen oder mehr dafür sprechen.
rule-newborn-fading-emergency = Von dieser Wahrscheinlichkeit an, dass er immer schwächer wird, ruft ein Welpe jetzt, wenn drei Arten von Hinweisen oder mehr dafür sprechen.
rule-newborn-fading-per-degree = Was jedes Grad, das ein Welpe unter dem Üblichen seines Alters liegt, zu den Chancen beiträgt, dass er immer schwächer wird.
rule-newborn-fading-temperature-most = Das Höchste, was eine Temperatur zu diesen Chancen beiträgt.
rule-newborn-fading-warm = Das Höchste, was eine übliche Temperatur von diesen Chancen nimmt.
rule-newborn-fading-not-nursing = Was es beiträgt, dass ein Welpe nicht saugte, als jemand hinsah.
rule-newborn-fading-nursing = Was es nimmt, dass ein Welpe saugte, als jemand hinsah.
rule-newborn-fading-little-taken = Was es beiträgt, dass ein Welpe aus der Hand weniger nahm als den Anteil seines Plans, der gemeldet wird.
rule-newborn-fading-no-signs = Was es nimmt, dass der letzte Blick auf einen Welpen kein Krankheitszeichen fand.
rule-newborn-fading-next-sign = Wie viel von seinem Gewicht jedes weitere Zeichen eines Welpen neben dem vorigen hat.
rule-newborn-fading-weak-at-birth = Was eine niedrige Vitalität bei der Geburt beiträgt, so lange sie etwas voraussagt.
rule-growth-jump-down = Hat der mittlere Welpe einer Runde seit dem Vortag mindestens diesen Anteil verloren, und alle gleich viel, wird nach der Waage gefragt.
rule-growth-jump-up = Hat der mittlere Welpe einer Runde seit dem Vortag mindestens diesen Anteil zugenommen, und alle gleich viel, wird nach der Waage gefragt.
rule-growth-jump-spread = Welpen einer Runde haben sich gleich verändert, wenn jeder höchstens so weit vom mittleren entfernt ist, als Anteil oder in Gramm, neben einem Schritt der Waage.
rule-growth-jump-round-hours = Wägungen höchstens so lange vor der letzten eines Wurfs sind von derselben Runde.
rule-growth-jump-hours = Über höchstens diese Zeit gilt eine Veränderung aller Welpen als Sprung der Waage.
rule-newborn-cold-emergency-c = Darunter ist ein Welpe unter vier Wochen unterkühlt: sofort anrufen.
rule-newborn-cold-day-1-c = Darunter ist ein Welpe an seinem ersten Tag zu kühl.
rule-newborn-cold-week-1-c = Darunter ist ein Welpe von Tag 1 bis 6 zu kühl.
rule-newborn-cold-week-2-c = Darunter ist ein Welpe von Tag 7 bis 13 zu kühl.
rule-newborn-cold-week-3-c = Darunter ist ein Welpe von Tag 14 bis 27 zu kühl.
rule-newborn-cold-later-c = Darunter ist ein Welpe von vier Wochen oder mehr zu kühl.
rule-newborn-cool-c = Darunter wird ein Welpe unter einer Woche gewärmt und angesehen, bevor er gefüttert wird.
rule-newborn-cool-week-2-c = Darunter wird auf einen Welpen in der zweiten Woche hingewiesen.
rule-newborn-hot-young-c = Von da an ist ein Welpe unter zwei Wochen zu warm: Meist liegt es am Nest.
rule-newborn-warm-later-c = Darüber wird auf einen Welpen von vier Wochen oder mehr hingewiesen.
rule-newborn-fever-c = Fieber eines Welpen in jedem Alter.
rule-newborn-hot-emergency-c = Von da an ist ein Welpe in Gefahr: sofort anrufen.
rule-newborn-reading-hours = Wie lange eine Temperatur oder ein Zeichen eines Welpen zählt.
rule-newborn-warmed-hours = Wie lange ein Welpe, der kalt oder heiß war, noch beobachtet wird, wenn seine Temperatur wieder die übliche ist.
rule-newborn-vitality-watched-hours = Wie lange nach der Geburt ein niedriger Vitalitätswert oder eine erfolglose Wiederbelebung ruft.
rule-newborn-revival-now-hours = Wie lange ein Neugeborenes, das nach Hilfe nicht atmete, ein Notfall ist.
rule-newborn-unfed-hours = Ein Neugeborenes, das bis dahin nicht getrunken hat: handeln.
rule-newborn-first-milk-ends-hours = Die erste Milch schützt nur innerhalb dieser Zeit nach der Geburt.
rule-newborn-unfed-asked-hours = Wie lange nach der Geburt gefragt wird, ob ein Neugeborenes getrunken hat; danach zeigen es seine Gewichte.
rule-newborn-signs-together = So viele Krankheitszeichen zusammen sind bei einem Welpen bis signs_to_day ein Notfall.
rule-newborn-signs-to-day = Alter, bis zu dem mehrere Zeichen zusammen ein Notfall sind.
rule-placement-reservation-days = So viele Tage wird ein Welpe gehalten, wenn eine Reservierung keinen letzten Tag nennt
rule-placement-report-evening-hour = Uhrzeit, von der an Nachricht von Krankheit oder Tod am nächsten Tag gelesen wird
rule-placement-reminded-days = Wie lange vor ihrem Tag eine Frage an einen neuen Besitzer in der Aufgabenliste steht
rule-planner-place-before-days = So lange vor der Geburt ist der Wurfplatz belegt, damit sich die Hündin daran gewöhnt.
rule-planner-place-after-days = So lange nach der Geburt ist der Wurfplatz belegt.
rule-planner-critical-after-days = Kritische Wochen nach der Geburt.
rule-planner-birth-hands = Menschen, die um die Geburt herum gebraucht werden.
rule-planner-critical-hands = Menschen, die in den kritischen Wochen gebraucht werden.
rule-planner-birth-nights = Nächte vor und nach der Geburt, die als Geburtsnächte zählen.
rule-planner-same-nights-days = Zwei Geburten mit höchstens so vielen Tagen Abstand fallen auf dieselben Nächte.
rule-planner-clash-from = Von dieser Wahrscheinlichkeit an wird eine Überschneidung gemeldet.
rule-planner-go-home-days = Alter, in dem Welpen abgegeben werden können, wo keines angegeben ist; das des Gesetzes am Ort des Zwingers, wo es höher ist.
rule-planner-go-home-span-days = Wie lange die Tage der Abgabe dauern.
rule-planner-whelped-share = Anteil der gedeckten Läufigkeiten, die zu einem Wurf führen.
rule-planner-pregnant-whelped-share = Anteil der festgestellten Trächtigkeiten, die zu einem Wurf führen.
rule-planner-heat-to-whelping-days = Vom Beginn einer Läufigkeit bis zur Geburt, wenn in ihr gedeckt wurde.
rule-planner-heat-to-whelping-sd-days = Die Standardabweichung dazu.
rule-planner-timed-mating-days = Von der Deckung am nach Progesteron bestimmten Tag bis zur Geburt.
rule-planner-timed-mating-sd-days = Die Standardabweichung dazu.
rule-planner-female-share = Anteil der Hündinnen unter den Welpen, die geboren werden.
rule-planner-weight-same-nights = Gewicht zweier Geburten in denselben Nächten, wenn Zeiträume verglichen werden.
rule-planner-weight-place-day = Gewicht eines Tages, an dem ein Platz fehlt.
rule-planner-weight-hands-day = Gewicht eines Tages, an dem Hände fehlen.
rule-planner-weight-away = Gewicht einer Geburt, während ein Mensch fort ist.
rule-planner-coverage = Geringste Wahrscheinlichkeit, dass ein genannter Zeitraum das Ereignis enthält.
rule-planner-plan-kept-days = Ein Decktag, der ohne Deckakt vergangen ist, bleibt bis so viele Tage danach ein Plan.
rule-preparation-supplies-before-days = So lange vor dem ersten Tag des Zeitraums ist alles Nötige vollständig.
rule-preparation-nursing-weeks = Wochen, für die Verbrauchsmaterial gerechnet wird.
rule-preparation-longest-every-days = Längste Spanne in Tagen für eine wiederkehrende Aufgabe.
rule-schedule-assumed-weaning-age = Alter, in dem ein Wurf in einer Vorhersage als abgesetzt gilt, solange der Tag des Absetzens nicht aufgeschrieben ist
rule-schedule-dam-followed = Tage nach der Geburt, an denen dem Gesundheitsplan der Hündin für diesen Wurf gefolgt wird
rule-schedule-grown-from = Alter, von dem an ein Hund den Plänen für erwachsene Hunde folgt und dem, was ein Welpenplan lebenslang wiederholt, jeweils ab der letzten aufgeschriebenen Gabe, und nicht mehr denen eines Welpen
rule-schedule-antibody-test-after-dose-days = Tage nach einer Gabe, von denen an eine Untersuchung auf Antikörper zeigt, dass der Hund geschützt ist, und an die Stelle der nächsten treten kann
rule-schedule-live-vaccines-apart-days = Mindestabstand zweier gespritzter Lebendimpfstoffe verschiedener Art, die nicht am selben Tag gegeben werden
rule-schedule-cautioned-days = Wie lange auf eine Gabe hingewiesen wird, die zu früh oder nach ihrem Ablauf gegeben wurde
rule-slips-feed-share-of-stomach = Bei einer Mahlzeit von Hand über diesem Anteil dessen, was der Magen fasst, wird nachgefragt.
rule-slips-feed-until-days = Alter, bis zu dem eine Mahlzeit an der Grenze des Magens eines Neugeborenen gemessen wird.
rule-slips-progesterone-most-ng-per-ml = Bei Progesteron darüber wird nachgefragt: eine andere Einheit?
rule-slips-progesterone-fall-share = Bei einem Wert unter diesem Anteil des vorigen wird nachgefragt, solange Progesteron steigen oder gleich bleiben sollte.
rule-slips-progesterone-fall-within-days = Der vorige Wert zählt, wenn er höchstens so lange her ist.
rule-slips-progesterone-stands-days = Tage vom Beginn der Läufigkeit an, in denen Progesteron nicht von selbst fällt.
rule-slips-heat-least-days = Bei einer Läufigkeit, die früher nach einer anderen der Hündin beginnt, wird nachgefragt: dieselbe oder eine gespaltene Läufigkeit?
rule-slips-birth-days-apart = Bei einer Geburt, die weiter vom Tag des Wurfs entfernt liegt, wird nachgefragt.
rule-tasks-horizon = Wie weit die Aufgabenliste und die Einkaufsliste vorausschauen, wenn nichts anderes verlangt ist
rule-tasks-preparation-of-use = Wie lange nach ihrem letzten Tag eine Aufgabe der Vorbereitung noch nützt, wo die Vorlage nichts anderes sagt
rule-tasks-test-of-use = Wie lange nach seinem Tag ein Progesterontest noch nützt: Der Wert steigt innerhalb von Tagen
rule-tasks-mating-of-use = Wie lange nach seinem Tag nach einem geplanten Deckakt gefragt wird
rule-tasks-worming-of-use = Wie lange nach ihrem letzten Tag eine Entwurmung in der Aufgabenliste steht; der Plan des Hundes behält sie
rule-tasks-vaccination-of-use = Wie lange nach ihrem letzten Tag eine Impfung in der Aufgabenliste steht; der Plan des Hundes behält sie
rule-tasks-microchip-of-use = Wie lange nach seinem letzten Tag ein Mikrochip in der Aufgabenliste steht; der Plan des Hundes behält ihn
rule-tasks-examination-of-use = Wie lange nach dem letzten Tag eine Untersuchung, ein Test oder ein anderer Schritt eines Gesundheitsplans in der Aufgabenliste steht; der Plan des Hundes behält ihn
rule-tasks-follow-up-of-use = Wie lange nach ihrem Tag eine Frage an einen neuen Besitzer in der Aufgabenliste steht
rule-tasks-own-of-use = Wie lange nach ihrem Tag eine von einem Menschen geschriebene Aufgabe in der Aufgabenliste steht
rule-temperature-alert-c = Bei diesem Wert oder darunter wird die Geburt innerhalb von 12 bis 24 Stunden erwartet.
rule-temperature-fall-c = Bei diesem Wert oder darunter folgte die Geburt 13 bis 33 Stunden später.
rule-temperature-least-fall-c = Geringster Abfall unter den Grundwert der Hündin.
rule-temperature-fall-deviations = Geringster Abfall in robusten Abweichungen der eigenen Messwerte der Hündin.
rule-temperature-least-deviation-c = Bei keiner Hündin wird angenommen, dass ihre Messwerte weniger schwanken.
rule-temperature-baseline-days = Messwerte aus so vielen Tagen bilden den Grundwert.
rule-temperature-baseline-skip-hours = Die letzten Messwerte, die aus dem Grundwert herausbleiben.
rule-temperature-least-readings = Wenigste Messwerte für einen Grundwert.
rule-temperature-readings-per-day = Messungen am Tag von einer Woche vor dem Wurftermin an.
rule-temperature-missed-after-hours = Länger ohne Messung, und ein Abfall kann verpasst worden sein.
rule-temperature-repeat-after-hours = Ein einzelner niedriger Wert wird nach dieser Zeit noch einmal gemessen.
rule-temperature-confirm-within-hours = Ein zweiter niedriger Wert innerhalb dieser Zeit bestätigt den ersten.
rule-temperature-mean-hours = Vom Abfall bis zur Geburt, Mittelwert.
rule-temperature-sd-hours = Vom Abfall bis zur Geburt, Standardabweichung.
rule-temperature-true-share = Gewicht eines bestätigten Abfalls als Beginn der Geburt.
rule-temperature-seen-share = Anteil der Hündinnen, bei denen vor der Geburt ein Abfall gemessen wird (Mitte von 0,53 bis 0,69): Dass keiner gesehen wurde, beweist nichts.
rule-temperature-fever-c = Bei diesem Wert oder darüber geht es der Hündin nicht gut.
rule-temperature-lowest-c = Darunter ist ein Messwert unmöglich oder nicht in °C.
rule-temperature-highest-c = Darüber ist ein Messwert unmöglich oder nicht in °C.
rule-temperature-before-window-days = Messwerte zählen von so vielen Tagen vor dem Zeitraum des Wurftermins an; frühere sagen nichts über die Geburt.
rule-today-pups-shown = Alter, bis zu dem ein Welpe, der noch im Zwinger ist, mit seinem Wurf auf der Tagestafel steht
rule-whelping-strong-straining-minutes = Starkes, ständiges Pressen ohne Welpen: anrufen.
rule-whelping-weak-contractions-hours = Schwache oder seltene Wehen ohne Welpen: anrufen.
rule-whelping-gap-hours = Zeit seit dem letzten Welpen, wenn weitere erwartet werden: anrufen.
rule-whelping-green-before-first-minutes = Grüner oder schwarzer Ausfluss vor dem ersten Welpen: anrufen.
rule-whelping-fluid-without-pup-hours = Fruchtblase oder Fruchtwasser gesehen und kein Welpe: anrufen.
rule-whelping-stage-one-hours = Eröffnungsphase ohne Austreibung: den Tierarzt fragen.
rule-whelping-stage-one-long-hours = Eröffnungsphase ohne Austreibung, so lang wie höchstens üblich: sofort anrufen.
rule-whelping-active-labour-hours = Die meisten Totgeburten kommen nach so langer aktiver Geburt.
rule-whelping-stage-two-hours = Längste übliche Austreibungsphase insgesamt.
rule-whelping-too-early-day = Wehen oder Geburt vor diesem Tag ab dem Eisprung sind viel zu früh.
rule-whelping-placentas-out-hours = Bis zu dieser Zeit nach dem letzten Welpen sind gewöhnlich alle Nachgeburten da.
rule-whelping-still-expected-margin = Wie viele Welpen weniger als die niedrigste Zählung als alle gelten.
rule-whelping-vitality-heart-low = Ein Herzschlag darunter zählt 0 Punkte.
rule-whelping-vitality-heart-high = Ein Herzschlag darüber zählt 2 Punkte.
rule-whelping-vitality-breath-low = Weniger Atemzüge zählen 0 Punkte.
rule-whelping-vitality-breath-high = Mehr Atemzüge zählen 2 Punkte.
rule-whelping-vitality-good = Von diesem Wert an: keine Not.
rule-whelping-vitality-moderate = Von diesem Wert bis zum nächsten: mäßige Not; darunter: schwere.
rule-whelping-vitality-risk = Bis zu diesem Wert innerhalb von vitality_risk_hours nach der Geburt: verbunden mit dem Tod in den ersten 24 Stunden.
rule-whelping-vitality-risk-hours = Siehe vitality_risk.
rule-whelping-alarm-minutes = Ein feststeckender Welpe, Zusammenbruch, starke Schmerzen, starke Blutung, Krämpfe: sofort anrufen.
rule-whelping-silent-hours = Länger als das nach dem letzten Welpen oder Pressen gilt ein Protokoll ohne Ende als beendet.
rule-whelping-collars-until-days = Alter, bis zu dem angenommen wird, dass ein Welpe im Haus sein Halsband von der Geburt trägt.
rule-whelping-sheet-spare-rows = Leere Zeilen des gedruckten Geburtsprotokolls über die gezählten Welpen hinaus.
rule-whelping-sheet-rows = Zeilen des gedruckten Geburtsprotokolls, wenn die Welpen nicht gezählt wurden.
rule-whelping-double-minutes = Geburten so dicht beieinander, die nichts unterscheidet, können ein zweimal aufgeschriebener Welpe sein.
rule-whelping-early-day = Wehen oder Geburt vor diesem Tag ab dem Eisprung sind früh.
rule-whelping-too-early-mating-day = Wehen oder Geburt vor diesem Tag ab dem ersten Deckakt sind zu früh, wo nichts Besseres den Termin bestimmt.
rule-whelping-early-watch-hours = Wie lange zu früh geborene Welpen allein deshalb nach einem Tierarzt verlangen.
rule-whelping-fall-without-labour-hours = Ihre Temperatur ist vor so langer Zeit gefallen und die Geburt hat nicht begonnen, ob sie wieder gestiegen ist oder nicht: anrufen.
rule-whelping-fall-before-window-days = Eine niedrige Temperatur länger als das vor dem ersten möglichen Tag gilt nicht als der Abfall vor der Geburt.
rule-whelping-progesterone-low-ng-per-ml = Progesteron nahe am Termin bei diesem Wert oder darunter: Die Geburt sollte folgen.
rule-whelping-progesterone-low-hours = So lange nach niedrigem Progesteron ohne Geburt: den Tierarzt anrufen.
rule-whelping-progesterone-very-low-ng-per-ml = Progesteron nahe am Termin bei diesem Wert oder darunter: Mit der Geburt sollte nicht gewartet werden.
rule-whelping-progesterone-very-low-hours = So lange nach sehr niedrigem Progesteron ohne Geburt: den Tierarzt anrufen.
rule-whelping-stillborn-in-a-row = So viele tot geborene Welpen nacheinander: anrufen.
rule-whelping-asked-hours = So lange nach der letzten Zeile wird noch gefragt, wie ein Anruf der Nacht ausging; dann ist es vorbei.
rule-whelping-helper-removes-hours = Ein Helfer nimmt eine Geburt zurück, die höchstens so alt ist.

## Zucht: Aufzählungen

## Zucht: Fehler, die öfter vorkommen

## Zucht: Grenzen

## Zucht: Recht

## Zucht: Mikrochips

## Zucht: Abstammung und Rassen

## Zucht: Genmarker

## Zucht: Fellfarbe

## Zucht: sichtbare Merkmale

## Zucht: Verpaarungspläne

## Zucht: Kalender des Zwingers

## Zucht: Abgabe der Welpen

## Wachstum und Fütterung

growth-signed = { $sign ->
    [minus] { $figure }
    *[plus] +{ $figure }
    }
fault-elsewhere-no-pup-of-litter = ist kein Welpe dieses Wurfs
fault-out-of-range-weight-above-zero = muss mehr als 0 sein; gib das Gewicht in Gramm an
fault-in-future-weighing = liegt in der Zukunft (jetzt ist es { $now }); prüf die Uhr des Geräts
fault-too-early-before-pup-born = liegt vor der Geburt des Welpen ({ $born_at }); berichtige eines von beiden
fault-too-late-pup-gone = liegt nach dem Tag, an dem der Welpe starb oder den Wurf verließ
growth-weight-far = { $weight_g } g liegt weit ab von den erwarteten { $low_g } bis { $high_g } g. Berichtige es oder bestätige es als gewogen.
growth-weight-far-meant = { $weight_g } g liegt weit ab von den erwarteten { $low_g } bis { $high_g } g. Waren { $meant_g } g gemeint ({ $how })? Berichtige es oder bestätige es als gewogen.
growth-weight-far-above-dam = { $weight_g } g liegt weit ab von den erwarteten { $low_g } bis { $high_g } g. Das ist mehr, als die Mutter wiegt. Berichtige es oder bestätige es als gewogen.
growth-weight-far-above-dam-meant = { $weight_g } g liegt weit ab von den erwarteten { $low_g } bis { $high_g } g. Das ist mehr, als die Mutter wiegt. Waren { $meant_g } g gemeint ({ $how })? Berichtige es oder bestätige es als gewogen.
fault-unlikely-weighed = { $what } Um es so zu behalten, sende es mit "confirmed": true.
growth-meant-kilograms = in Kilogramm geschrieben
growth-meant-ounces = in Unzen geschrieben
growth-meant-pounds = in Pfund geschrieben
growth-meant-point = das Komma an der falschen Stelle
growth-meant-exchanged = zwei Ziffern vertauscht
growth-meant-digit-too-many = eine Ziffer zu viel
growth-meant-digit-missing = eine Ziffer fehlt
growth-meant-digit-wrong = eine Ziffer falsch
growth-meant-other-pup = das Gewicht von { $pup }
called-litter = Wurf
called-litter-of = Wurf von { $dam }
called-collar = Halsband { $collar }
called-pup-number = Welpe { $number }
called-without-name = ohne Namen
called-the-dam = die Hündin
growth-lacks-birth-weight = das Geburtsgewicht
growth-lacks-breed = die Rasse, für die Grenzen des Geburtsgewichts
growth-lacks-any-weight = irgendein Gewicht
growth-lacks-weight-of-pup = irgendein Gewicht dieses Welpen: Die Vorhersage ist die des Wurfs
growth-lacks-adult-weight-dam = das Endgewicht der Rasse oder der Eltern: Das Gewicht der Mutter steht dafür
growth-lacks-adult-weight = das Endgewicht von Rasse, Eltern oder Mutter: keine Vorhersage nach Woche 4
growth-swap-on-weights = { $pup } und { $other } scheinen am { $day } vertauscht: Wieg beide noch einmal oder tausche die zwei Gewichte.
growth-swap-from-weights = { $pup } und { $other } scheinen vom { $first } bis zum { $last } vertauscht: Wieg beide noch einmal oder tausche die zwei Gewichte.
growth-swap-on-collars = { $pup } und { $other } scheinen am { $day } vertauscht: Sieh nach den Halsbändern, vielleicht wurden sie vertauscht.
growth-swap-from-collars = { $pup } und { $other } scheinen vom { $first } bis zum { $last } vertauscht: Sieh nach den Halsbändern, vielleicht wurden sie vertauscht.
growth-risk-gain = nimmt { $gain_percent } % am Tag zu, wo { $expected_percent } % erwartet wurden
growth-risk-at-birth = { $died_percent } % der Welpen mit solchem Geburtsgewicht starben
fault-out-of-range-dam-weight-g = muss das Gewicht einer Hündin in Gramm sein, { $least } bis { $most }
fault-out-of-range-pregnancy-day = muss ein Tag der Trächtigkeit sein, { $least } bis { $most }
fault-out-of-range-days-since-whelping = müssen Tage seit der Geburt sein, { $least } bis { $most }
fault-out-of-range-pups-nursing = muss { $least } bis { $most } sein
fault-out-of-range-growing-weight-g = muss in Gramm sein, { $least } bis { $most }
fault-out-of-range-adult-weight-g = muss das erwartete Endgewicht in Gramm sein, { $least } bis { $most }
fault-out-of-range-pup-weight-g = muss das Gewicht eines Welpen in Gramm sein, { $least } bis { $most }
fault-out-of-range-share-by-hand = muss von 0 (trinkt allein bei der Mutter) bis 1 (Waise) sein
fault-out-of-range-replacer = muss angerührt { $least } bis { $most } kcal je ml sein; lies das Etikett
fault-out-of-range-pup-temperature-c = muss in Grad Celsius sein, { $least } bis { $most }
fault-in-future-pup-born = liegt in der Zukunft
feeding-times-resting = das { $low }- bis { $high }-Fache der Ruheenergie
feeding-times-resting-middle = die Mitte vom { $low }- bis { $high }-Fachen der Ruheenergie
feeding-times-resting-peak = am Höhepunkt (Wochen 3 und 4) das { $times }-Fache der Ruheenergie und { $per_pup_percent } % davon für jeden Welpen
feeding-formula-gestation = { $base } x { $kg }^0,75 + { $per_kg } x { $kg }
feeding-formula-lactation = { $base } x { $kg }^0,75 + { $kg } x ({ $per_first } x { $first } + { $per_more } x { $more }) x { $factor }
feeding-times-maintenance = das { $times }-Fache des Erhaltungsbedarfs von { $maintenance } kg^0,75
feeding-kg-power = { $factor } kg^0,75
feeding-by-condition = Richte dich nach ihrem Nährzustand: Der Bedarf ist von Hündin zu Hündin verschieden.
feeding-equation-ends = Die Gleichung endet mit Woche 4: Mehr braucht sie nicht; gib weniger, je mehr die Welpen selbst fressen.
feeding-beyond-eight = Mehr als acht Welpen zählen in der Gleichung nicht: Füttere nach ihrem Nährzustand.
feeding-milk-alone = Nur Milch.
feeding-soft-food = Biete neben der Milch weiches Futter an, Woche für Woche mehr davon; immer frisches Wasser.
feeding-finish-weaning = Schließ das Absetzen ab: festes Futter in mehreren Mahlzeiten am Tag.
feeding-figures-differ = Die veröffentlichten Werte gehen auseinander: Richte dich darin nach Nährzustand und Wachstumskurve des Welpen.
feeding-large-breed = Eine große Rasse: Beginne mit dem niedrigeren Wert; zu viel Energie schadet wachsenden Knochen und Gelenken.
feeding-toy-breed = Eine Zwergrasse: oft kleine Mahlzeiten, denn dazwischen fällt der Blutzucker; ist er schlaff, zittert oder taumelt er, ruf jetzt den Tierarzt.
feeding-stomach = Auch mit den meisten Mahlzeiten am Tag fasst sein Magen nicht, was er braucht: Frag den Tierarzt nach einem gehaltvolleren Milchaustauscher.
feeding-stomach-why = { $volume_ml } ml am Tag, höchstens { $limit_ml } ml je Mahlzeit.
rearing-step-warm = Fühl, ob er warm ist, und miss im Zweifel: Unter { $limit_c } °C bekommt er nichts, bis er gewärmt ist.
rearing-step-clean = Wasch dir die Hände; Flaschen und Sauger sind sauber und ausgekocht.
rearing-step-milk = Wärm die Milch auf Hautwärme und probier einen Tropfen am Handgelenk.
rearing-step-hold = Halt ihn auf dem Bauch, den Kopf waagrecht, nie auf dem Rücken, und lass ihn selbst saugen.
rearing-step-stop = Hör auf, wenn sein Bauch rund und fest ist, und sofort, wenn Milch aus der Nase kommt oder er hustet.
rearing-step-toilet = Streich ihm Bauch und After mit einem feuchten, warmen Tuch, bis er Harn und Kot abgesetzt hat.
rearing-step-write = Schreib auf, was er genommen hat, und wieg ihn einmal am Tag zur selben Stunde.
rearing-aspiration = Milch in der Lunge tötet: Drück einem Welpen nie Milch hinein, und füttere mit der Sonde nur so, wie ein Tierarzt es dir gezeigt hat.
rearing-aspiration-why = Kommt Milch aus der Nase, oder hustet er oder atmet er schwer nach der Mahlzeit, hör auf, halt seinen Kopf tief und ruf jetzt den Tierarzt.
rearing-cold = Wärm ihn zuerst: Unter { $limit_c } °C kann er nicht verdauen.
rearing-cold-why = Nichts sagt, wie warm er jetzt ist; die veröffentlichten Grenzen stehen nebeneinander unter den Zahlen.
rearing-replacer = Nimm einen Milchaustauscher für Welpen, misch ihn nach dem Etikett und gib in den ersten Tagen weniger als die volle Menge.
rearing-replacer-why = Zu viel auf einmal macht Durchfall; Milch von Kuh oder Ziege ist nicht wie die einer Hündin. Eine Hündin, die ihn annimmt, ist besser als jede Flasche: Frag den Tierarzt danach.
fault-not-now-not-nursed = nennt einen Hund, der nicht hier geboren, nicht hier oder schon abgesetzt ist; den Plan gibt es für Welpen, die noch Milch brauchen
feeding-lacks-replacer = die Energie des Milchaustauschers, von seinem Etikett
feeding-lacks-temperature = seine Temperatur: Ein kalter Welpe darf nicht gefüttert werden
feeding-lacks-adult-weight = das Gewicht, das er ausgewachsen haben wird: Zwergwelpen werden öfter gefüttert
feeding-energies = Die veröffentlichten Werte seines Bedarfs liegen weit auseinander. Beginne mit dem niedrigeren und wieg ihn zweimal am Tag: Nimmt er vom zweiten Tag an nicht zu, gib mehr, bis zum höheren Wert, und frag den Tierarzt.
feeding-energies-why = { $begin_kcal } kcal am Tag nach einem Handbuch für Halter, { $nrc_kcal } nach NRC 2006: { $more_kcal } kcal oder { $more_percent } % mehr.
feeding-low-sugar = Bei Zwerg-, winzigen und schwachen Welpen fällt zwischen den Mahlzeiten der Blutzucker: Ist er schlaff, zittert oder schreit er ohne Ende, wärm ihn und ruf jetzt den Tierarzt.
feeding-low-sugar-why = Mindestens alle { $hours } Stunden gefüttert.
feeding-too-cold = Nicht füttern: Er ist zu kalt, um zu verdauen. Wärm ihn langsam, ruf den Tierarzt und füttere, wenn er warm ist.
feeding-too-cold-why = { $temperature_c } Grad, Grenze { $limit_c }.
feeding-first-milk = Sorg dafür, dass er die erste Milch der Mutter bekommt (oder frag den Tierarzt, wie sonst): Milchaustauscher schützt ihn nicht.
feeding-first-milk-why = { $hours ->
    [one] Eine Stunde
    *[other] { $hours } Stunden
    } alt; die erste Milch zählt in den ersten { $limit_hours } Stunden.
feeding-begin-low = Beginne mit weniger als der vollen Menge und steigere sie über die ersten Tage, um ihm Durchfall zu ersparen.
feeding-begin-low-why = Seit weniger als { $days } Tagen von Hand gefüttert.
feeding-solids = Er kann mit festem Futter beginnen: Rechne, was er frisst, auf die Milch an.
feeding-solids-why = { $age_days } Tage alt; festes Futter etwa von Tag { $from_day } an.
feeding-late = Eine Mahlzeit ist überfällig: Füttere ihn jetzt, die Menge einer Mahlzeit und nicht mehr.
feeding-late-why = Vor { $late_minutes } Minuten fällig.
feeding-little = Er nahm am letzten Tag zu wenig: Wieg ihn, miss seine Temperatur und ruf den Tierarzt.
feeding-little-why = { $taken_ml } ml von { $planned_ml } ml, die geplant waren.

## Wurftermin, Trächtigkeit und Läufigkeit

pregnancy-moment = { $day } { $time }
dating-from-lh-surge = dem LH-Gipfel
dating-from-progesterone-rise = dem ersten Progesteronanstieg
dating-from-ovulation = der Ovulation
dating-from-dioestrus = dem ersten Tag des Diöstrus
dating-from-ultrasound = dem Wurftermin nach Ultraschall
dating-from-forecast = dem vom Tierarzt vorhergesagten Wurftermin
dating-from-first-mating = der ersten Deckung
dating-from-window = dem Ende des Wurffensters
dating-overdue-emergency = Sie ist über dem Termin: Ruf jetzt den Tierarzt.
dating-overdue-act = Sie ist über dem Termin: Ruf heute den Tierarzt an und lass Hündin und Welpen untersuchen.
dating-grounds-more = { $begin }; { $end }
dating-grounds = { $grounds }.
dating-ground-window = das Fenster aller Hinweise endete am { $day }
dating-ground-after-due = { $days } Tage nach { $from } ({ $day }): anrufen ab { $ring_days }, rufen ab { $call_days } Tagen
dating-ground-call = Tag { $days } ab { $from }: anrufen ab Tag { $ring_days }, rufen ab Tag { $call_days }
dating-ground-ring = Tag { $days } ab { $from }: anrufen ab Tag { $ring_days }
dating-conflict = { $one } – das weist auf den { $day }; { $other } – das weist auf den { $other_day }: Prüf beide Daten und ob sie zur selben Trächtigkeit gehören
dating-one-mating = eine Deckung am { $day }: { $least_days } bis { $most_days } Tage bis zur Geburt
dating-matings = { $count } Deckungen vom { $first } bis zum { $last }: { $least_days } bis { $most_days } Tage bis zur Geburt
dating-days-from = { $days } Tage ab { $from }
dating-temperature-fell = die Temperatur fiel am { $at }; die Geburt kommt meist 13 bis 33 Stunden später
dating-foretold = vorhergesagt für den { $day }
dating-scan-icc = innerer Durchmesser der Fruchthöhle { $mean_mm } mm: { $before_days } Tage vor der Geburt
dating-scan-bp = biparietaler Durchmesser { $mean_mm } mm: { $before_days } Tage vor der Geburt
dating-progesterone-24 = Progesteron { $ng_per_ml } ng/ml: Bei den meisten Hündinnen mit zwei oder mehr Welpen öffnet sich der Muttermund binnen 24 Stunden
dating-progesterone-48 = Progesteron { $ng_per_ml } ng/ml: Bei den meisten Hündinnen mit zwei oder mehr Welpen öffnet sich der Muttermund binnen 48 Stunden
dating-progesterone-falling = Progesteron { $ng_per_ml } ng/ml: Es fällt, aber dafür ist keine Wahrscheinlichkeit veröffentlicht
dating-progesterone-high = Progesteron { $ng_per_ml } ng/ml: Dass sich der Muttermund binnen 12 Stunden öffnet, ist unwahrscheinlich, aber nicht ausgeschlossen
dating-breed-mean = mittlere Dauer der Trächtigkeit bei der Rasse { $breed }
dating-small-litter = kleiner Wurf erwartet ({ $small_percent } % klein)
dating-larger-litter = größerer Wurf erwartet ({ $small_percent } % klein)
dating-the-mating = die Deckung
dating-the-lh-surge = der LH-Gipfel
dating-the-progesterone-rise = der Progesteronanstieg
dating-the-ovulation = die Ovulation
dating-the-dioestrus = der erste Tag des Diöstrus
dating-the-scan = der Ultraschall
dating-the-radiograph = die Röntgenaufnahme
dating-the-forecast = die Vorhersage
dating-the-sample = die Probe
dating-the-temperature-fall = der Temperaturabfall
fault-empty-evidence = ist leer; gib mindestens ein Deckdatum oder eine andere Beobachtung an
fault-out-of-range-small-litter-chance = muss von { $least } bis { $most } sein
fault-differs-pregnancies = weist auf Tage vom { $first } bis zum { $last }: Das ist mehr als eine Trächtigkeit
fault-in-future-evidence = { $what } liegt nach heute ({ $today })
fault-too-late-evidence-whelping = { $what } liegt nach der Geburt ({ $whelped_on })
fault-too-early-evidence-heat = { $what } liegt vor der Läufigkeit, die am { $began_on } begann
fault-too-late-evidence-heat = { $what } liegt mehr als { $most_days } Tage nach dem Beginn der Läufigkeit ({ $began_on })
fault-out-of-range-sd-days = muss von { $least } bis { $most } Tage sein
fault-out-of-range-forecast-sd-days = muss über { $above } und höchstens { $most } Tage sein
fault-too-early-due-before-told = liegt vor dem Tag, an dem es gesagt wurde ({ $told_on })
fault-out-of-range-progesterone-near-term = muss von { $least } bis { $most } ng/ml sein
fault-empty-measures = ist leer; gib mindestens ein Maß in mm an
fault-out-of-range-measure-above-zero = muss über 0 mm sein
fault-out-of-range-measure-beyond-formula = liegt jenseits der Formel, die bei { $whelping_mm } mm die Geburt erreicht; ist es in mm, und stimmt das Endgewicht der Hündin?
fault-unknowable-due-day = kein Tag ab dem { $today } passt als Wurftag dazu; trag die Geburt ein oder dass es keinen Wurf gab
dating-evidence-disagrees = Zwei Hinweise widersprechen einander: Prüf die Daten; eine Messung im Ultraschall kann entscheiden.
dating-only-matings = Nur Deckungen sind bekannt, darum ist das Fenster weit: Progesterontests in der Läufigkeit oder eine Messung im Ultraschall engen es ein.
dating-only-matings-why = Trächtigkeiten dauern { $least_days } bis { $most_days } Tage ab der ersten Deckung.
dating-green-discharge = Grüner oder schwarzer Ausfluss vor dem ersten Welpen: Ruf jetzt den Tierarzt.
dating-green-discharge-why = Eine Plazenta kann sich gelöst haben, während noch kein Welpe geboren ist.
dating-heavy-bleeding = Starke Blutung: Ruf jetzt den Tierarzt.
dating-help-at-once = Es gehört zu den Zeichen, bei denen sofort geholfen werden muss.
dating-collapse = Zusammenbruch oder starke Schmerzen: Ruf jetzt den Tierarzt.
dating-unwell = Der Hündin geht es nicht gut: Ruf heute den Tierarzt.
dating-unwell-why = Eine Hündin kurz vor der Geburt soll munter sein, wenn auch unruhig.
dating-early-scan = Ein früher Ultraschall bestimmt den Termin schlecht: Lass ihn wiederholen.
dating-early-scan-why = Der Ultraschall vom { $day } war an Tag { $pregnancy_day } der Trächtigkeit; Messungen beginnen etwa mit Tag { $from_day }.
dating-no-fall = Bis zum letzten Tag des Fensters fiel die Temperatur nicht: Frag den Tierarzt. Bei vielen Hündinnen fällt sie nicht, es beweist also weder das eine noch das andere.
dating-no-fall-why = Das Fenster endet am { $day }; bei etwa { $share_percent } % der Hündinnen wurde ein Abfall gemessen.
dating-progesterone-low = Das Progesteron fiel vor Tagen und kein Welpe ist geboren: Ruf heute den Tierarzt.
dating-progesterone-low-why = { $ng_per_ml } ng/ml am { $day } um { $time }, vor { $waited_hours } Stunden; die Wehen werden binnen { $limit_hours } Stunden erwartet.
pregnancy-pups-unknowable = Die Welpenzahl lässt sich nicht vorhersagen: { $fault }
pregnancy-lost = Sie hat diese Trächtigkeit verloren: Lassen Sie die Tierärztin nach der Ursache suchen, bevor sie wieder gedeckt wird, und sagen Sie es dem Besitzer des Rüden. Tragen Sie Handschuhe bei allem, was abgeht: Brucellose geht auf Menschen über.
pregnancy-lost-why = Festgestellt am { $day }.
pregnancy-lost-why-aborted = Verworfen, nach dem Befund vom { $day }.
pregnancy-lost-why-resorbed = Resorbiert, nach dem Befund vom { $day }.
pregnancy-is-lost = die Trächtigkeit ging verloren
fault-only-together-heartbeats = sieht man nur im Ultraschall
fault-only-together-lost-how = gehört zu einer verlorenen Trächtigkeit: mit dem Ergebnis lost angeben
pregnancy-seen-empty = Die letzte Untersuchung auf Trächtigkeit sah keinen Welpen: Lass sie wiederholen oder nimm den Wurf von der Liste.
pregnancy-seen-empty-why-palpation = Untersucht am { $day } durch Abtasten.
pregnancy-seen-empty-why-ultrasound = Untersucht am { $day } mit Ultraschall.
pregnancy-seen-empty-why-xray = Untersucht am { $day } durch Röntgen.
pregnancy-seen-empty-why-hormone = Untersucht am { $day } durch Hormontest.
pregnancy-litter-born = Der Wurf ist geboren; `born` zählt seine Welpen.
pregnancy-no-count = Noch nicht gezählt: Eine Röntgenaufnahme in der letzten Woche der Trächtigkeit zählt am besten.
pregnancy-no-readings = Keine Messungen nahe am Wurffenster: Miss ihre Temperatur von einer Woche davor an zweimal am Tag.
pregnancy-nothing-dates = Nichts datiert diesen Wurf: Trag seine Deckung mit den Deckakten ein (und nenne sie in mating_id) oder Progesterontests der Läufigkeit.
pregnancy-evidence-fault = Zu den Angaben: { $fault }.
pregnancy-long-past = Jeder mögliche Wurftag ist lange vorbei: Trag die Geburt ein oder dass es keinen Wurf gab. Wenn sie noch Welpen trägt, ruf jetzt den Tierarzt.
pregnancy-long-past-why = Das Fenster aller Hinweise endete am { $day }.
pregnancy-mating-of = Deckung vom { $day }
pregnancy-lh-surge-of = LH-Gipfel vom { $day }
pregnancy-progesterone-rise-of = Progesteronanstieg vom { $day }
pregnancy-ovulation-of = Ovulation vom { $day }
pregnancy-dioestrus-of = erster Tag des Diöstrus vom { $day }
pregnancy-ultrasound-of = Ultraschallmaß vom { $day }
pregnancy-radiograph-of = Röntgenaufnahme vom { $day }
pregnancy-forecast-of = Vorhersage vom { $day }
pregnancy-progesterone-near-term-of = Progesteron kurz vor der Geburt vom { $day }
pregnancy-temperature-fall-of = Temperaturabfall vom { $day }
pregnancy-reading-progesterone-of = Progesteron vom { $at }
pregnancy-reading-lh-of = LH vom { $at }
pregnancy-reading-cytology-of = Zytologie vom { $at }
pregnancy-reading-sign-of = Zeichen vom { $at }
pregnancy-reading-of = Messung vom { $at }
pregnancy-reading-fell = fiel nach dem Östrus: Nenne den first_day_of_dioestrus
pregnancy-reading-sign-unknown = datiert nichts; bekannte Zeichen sind bleeding, swelling, flagging, standing, refusing, ovulation
pregnancy-reading-lh-finding = braucht den Befund surge oder no_surge
pregnancy-reading-cytology-finding = braucht den Befund anoestrus, proestrus, oestrus, dioestrus oder first_day_of_dioestrus
pregnancy-reading-no-value = hat keinen Wert
cycle-basis-crossing = Progesteron erreichte { $level_ng_per_ml } ng/ml zwischen zwei Proben
cycle-basis-extrapolated = Progesteron { $ng_per_ml } ng/ml und sein üblicher Anstieg
cycle-basis-lh-test = LH-Test positiv
cycle-basis-surge = LH-Gipfel und die Zeit vom Gipfel bis zur Ovulation
cycle-basis-dioestrus = erster Tag des Diöstrus
cycle-basis-back = von der Ovulation zurückgezählt
cycle-cervix-closes = Der Muttermund schließt sich vom { $from } bis zum { $to }: Spätere Deckungen nehmen seltener auf.
cycle-test-first = erster Progesterontest der Läufigkeit
cycle-test-before-surge = { $ng_per_ml } ng/ml: noch vor dem LH-Gipfel
cycle-test-near-surge = { $ng_per_ml } ng/ml: nahe am LH-Gipfel
cycle-test-before-ovulation = { $ng_per_ml } ng/ml: zwischen LH-Gipfel und Ovulation
cycle-test-one-sample = { $ng_per_ml } ng/ml: nur eine Probe: Sieh, ob es weiter steigt
cycle-split-heat = Das Progesteron stieg und fiel wieder: Frag den Tierarzt, ob das eine gespaltene Läufigkeit oder ein Unterschied des Labors ist, und teste weiter.
cycle-split-heat-why = Auf eine Probe über dem Wert des LH-Gipfels folgt eine darunter.
cycle-ovulated-before = Die Ovulation war vor der ersten Probe und lässt sich nicht datieren: Der erste Tag des Diöstrus lässt sich durch Zytologie noch bestimmen.
cycle-ovulated-before-why = Die erste Probe hatte schon { $ng_per_ml } ng/ml.
cycle-stands-low = Sie steht, aber das Progesteron ist noch niedrig: Das Verhalten allein kann täuschen, teste noch einmal.
cycle-stands-low-why = Sie stand, während die letzte Probe noch vor dem LH-Gipfel war.
cycle-interval-short = { $days } Tage vom { $from } bis zum { $to } weggelassen: eine gespaltene Läufigkeit?
cycle-interval-long = { $days } Tage vom { $from } bis zum { $to } weggelassen: eine Läufigkeit, die nicht eingetragen ist?
cycle-nothing-known = weder eine Läufigkeit noch ein Geburtsdatum ist bekannt
cycle-long-overdue = die nächste Läufigkeit ist lange überfällig: Trag sie ein oder dass sie keine hat
fault-in-future-heat = liegt nach heute ({ $today })
fault-too-early-heat-before-birth = liegt vor der Geburt der Hündin
fault-too-early-reading = liegt vor der Läufigkeit, die am { $began_on } begann
fault-too-late-reading = liegt mehr als { $most_days } Tage nach dem Beginn der Läufigkeit ({ $began_on }): eine andere Läufigkeit?
fault-out-of-range-progesterone = muss von { $least } bis { $most } ng/ml sein ({ $most_nmol } nmol/l); das sind { $ng_per_ml } ng/ml

## Verschriebenes

fault-unlikely-feed = ist { $volume_ml } ml; der Magen eines Welpen von { $weight_g } g fasst etwa { $holds_ml } ml. Ist es in ml, für eine Mahlzeit, und von diesem Welpen? Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-progesterone = ist { $ng_per_ml } ng/ml; bei Hündinnen bleibt es unter etwa { $most_ng_per_ml } ng/ml. Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-progesterone-nmol = ist { $ng_per_ml } ng/ml; bei Hündinnen bleibt es unter etwa { $most_ng_per_ml } ng/ml. Ist es in nmol_per_l? Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-progesterone-fall = ist { $ng_per_ml } ng/ml nach { $before_ng_per_ml } ng/ml am { $before_on }: Nach seinem Anstieg fällt es nicht, bevor die Geburt naht. Stimmen Wert, Einheit und Hündin? Wenn ja, frag deinen Tierarzt. Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-heat = liegt { $days ->
    [one] einen Tag
    *[other] { $days } Tage
    } neben ihrer Läufigkeit vom { $near_on }; zwischen Läufigkeiten liegen Monate. Ist es dieselbe Läufigkeit oder eine gespaltene? Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-whelped-on = ist nicht der Tag der ersten Geburt ({ $first_birth_on }); berichtige eines von beiden. Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-birth-day = liegt { $days ->
    [one] einen Tag
    *[other] { $days } Tage
    } neben der Geburt des Wurfs ({ $whelped_on }); ist es dieser Wurf, und dieser Tag? Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-expired = liegt vor dem Tag, an dem es gegeben wurde ({ $given_on } nach { $expires_on }): Das Mittel war abgelaufen. Um es so zu behalten, sende es mit "confirmed": true.
fault-unlikely-paper = ist keines der Papiere, nach denen die Regeln der Abgabe hier fragen ({ $known }). Um es so zu behalten, sende es mit "confirmed": true.
fault-twice-named = nennt, was { $place } schon nennt; nenne es einmal
fault-twice-time = ist die Zeit eines Eintrags davor; schreib jeden einmal auf

## Würfe

litter-expired = Das Mittel war abgelaufen, als es gegeben wurde, darum zählt die Gabe nicht: Frag deinen Tierarzt, ob und wann sie zu wiederholen ist.
litter-expired-why = Gegeben am { $given_on }, abgelaufen am { $expires_on }.
litter-expired-not-counted = was am { $given_on } gegeben wurde, war am { $expired_on } abgelaufen
litter-home-died = { $pup } ist gestorben: Er kommt in kein Zuhause.
litter-home-died-why = Er starb am { $day }.
litter-home-born-dead = Er wurde tot geboren.
litter-home-born-dead-why = Sein Geburtseintrag sagt es.
litter-home-gone = { $pup } ist schon in seinem Zuhause.
litter-home-lives-elsewhere = Sein Eintrag sagt, dass er anderswo lebt.
litter-home-handed-over = Er wurde am { $day } abgegeben.
litter-home-unseen = Von ihm lässt sich nichts sagen.
litter-home-unseen-why = Sein Eintrag ist dir nicht zugänglich.

## Gesundheitspläne

schedule-lacks-birth = der Tag der Geburt
schedule-lacks-mating = der Tag der Deckung
schedule-lacks-whelping = der Wurftag
schedule-lacks-weaning = der Tag des Absetzens
schedule-lacks-step = der Tag des Schritts { $step }
schedule-lacks-last-dose = der Tag der letzten Gabe
schedule-lacks-before-record = was vor dem { $from } gegeben wurde, mit dem seine Aufzeichnung hier beginnt
schedule-lacks-dose-before = die Gabe vor der vom { $day }, die für einen späteren Schritt eingetragen ist
schedule-too-early = { $step }: Die Gabe vom { $given_on } war zu früh und zählt nicht; frag deinen Tierarzt, wann sie zu wiederholen ist (nach diesem Plan nicht vor dem { $earliest_on }).
schedule-too-early-why = Gegeben am { $given_on }; es zählt vom { $from } an.
schedule-too-close-why = Gegeben am { $given_on }, { $days ->
    [one] einen Tag
    *[other] { $days } Tage
    } nach der davor ({ $before }); mindestens { $least_days } Tage müssen dazwischen liegen.
birth-risk-why-times = { $times ->
    [one] Einmal, nach dem, was aufgeschrieben ist.
   *[other] { $times }-mal, nach dem, was aufgeschrieben ist.
}
birth-risk-why-stillborn = { $pups ->
    [one] Ein Welpe, nach dem, was aufgeschrieben ist.
   *[other] { $pups } Welpen, nach dem, was aufgeschrieben ist.
}
birth-risk-why-counted = Sicher gezählt: { $pups }.
birth-risk-why-low-calcium = { $pups } Welpen gezählt, erwachsen { $kg } kg.
birth-risk-why-breed = { $breed } gehört zu den Rassen mit den meisten Kaiserschnitten oder schweren Geburten.
birth-risk-why-breed-share = { $breed }: etwa { $percent } % der Würfe kamen durch Kaiserschnitt.
birth-risk-why-weight = Erwachsen { $kg } kg.
birth-risk-why-overweight = { $mated_kg } kg beim Decken, erwachsen { $adult_kg } kg.
birth-risk-why-age = { $years } Jahre alt bei der Geburt.
birth-risk-why-first = Kein Wurf von ihr ist aufgeschrieben.
birth-risk-lacks-breed = ihre Rasse
birth-risk-lacks-adult-weight = ihr Gewicht als erwachsene Hündin
birth-risk-lacks-mated-weight = ihr Gewicht beim Decken
birth-risk-lacks-age = wann sie geboren ist
birth-risk-lacks-history = wie sie geworfen hat, bevor sie herkam: als Krankheiten der Reihe caesarean, dystocia, eclampsia oder pregnancy-loss eintragen
birth-risk-lacks-count = eine Zählung der Welpen
birth-risk-earlier-caesarean = Sie hatte schon einen Kaiserschnitt.
birth-risk-earlier-dystocia = Sie hatte schon eine schwere Geburt.
birth-risk-earlier-stillborn = Sie hat schon tote Welpen geboren.
birth-risk-earlier-loss = Sie hat schon eine Trächtigkeit verloren.
birth-risk-past-eclampsia = Bei einem früheren Wurf fehlte ihr Kalzium (Eklampsie).
birth-risk-breed-shape = Ihre Rasse braucht oft einen Kaiserschnitt: breite Köpfe oder ein enges Becken.
birth-risk-single-pup = Ein einziger Welpe wurde gezählt: Er kann groß werden und die Wehen nicht auslösen.
birth-risk-small-litter = Wenige Welpen wurden gezählt: Sie können groß werden, und die Wehen können spät beginnen.
birth-risk-very-large-litter = Sehr viele Welpen wurden gezählt: Die Geburt dauert lange, und sie kann vor dem letzten ermüden.
birth-risk-low-calcium = Einer kleinen Hündin mit mehreren Welpen fehlt leichter Kalzium.
birth-risk-small-dam = Eine kleine Hündin hat öfter schwere Geburten, und ihre Welpen kühlen schnell aus.
birth-risk-large-dam = Eine sehr große Hündin hat öfter schwere Geburten und kann sich auf Welpen legen.
birth-risk-late-first-litter = Ein erster Wurf, und spät in ihrem Leben: Mehr davon enden mit einem Notkaiserschnitt.
birth-risk-first-litter = Ihr erster Wurf: Noch weiß niemand, wie sie wirft und sorgt.
birth-risk-older-dam = Eine ältere Hündin ermüdet leichter, und mehr ihrer Welpen kommen tot zur Welt.
birth-risk-overweight = Sie war beim Decken zu schwer: Fette Hündinnen ermüden und werfen schlecht.
birth-plan-talk-over-caesarean = Mit der Tierärztin besprechen, ob ein Kaiserschnitt geplant wird; sie entscheidet und braucht dafür einen Tag, den Eisprung, Hormone oder Ultraschall festgelegt haben.
birth-plan-date-exactly = Die Geburt so genau wie möglich bestimmen lassen: Eisprung, Ultraschall in Woche 3 bis 5, gegen Ende Progesteron.
birth-plan-tell-vet = Der Tierärztin das Geburtsfenster und diese Liste geben.
birth-plan-count-pups = Die Welpen in der letzten Woche röntgen und zählen lassen, damit Sie wissen, wann alle da sind.
birth-plan-call-early = Bei der ersten Grenze anrufen, die erreicht ist, und nicht auf die nächste warten.
birth-plan-watch-end = Das Ende der Trächtigkeit mit Progesteron und Ultraschall überwachen lassen: Die Wehen setzen vielleicht nicht von selbst ein.
birth-plan-keep-cool = Sie kühl und ruhig halten: Hunde mit kurzer Nase ermüden und überhitzen.
birth-plan-no-calcium-by-yourself = Vor der Geburt kein Kalzium geben, wenn die Tierärztin es nicht anordnet.
birth-plan-watch-calcium = Sie in der ganzen Säugezeit beobachten: Ist sie unruhig, hechelt, reibt das Gesicht, ist steif oder zittert, dann sofort zur Tierärztin.
birth-plan-share-feeding = Bereit sein, einen Teil der Welpen reihum von Hand zu füttern, und zweimal am Tag wiegen.
birth-plan-ask-for-causes = Die Tierärztin fragen, was damals gefunden wurde und welche Untersuchungen jetzt sinnvoll sind (Brucellose, Herpes, Hormone).
birth-plan-scan-again = Die Herzschläge mehr als einmal ansehen lassen.
birth-plan-keep-apart = In den letzten drei Wochen und den ersten drei danach von fremden Hunden fernhalten.
birth-plan-stay-with-her = Von den ersten Zeichen an bleibt jemand bei ihr.
birth-plan-no-diet-now = In der Trächtigkeit keine Diät: Fragen, was sie fressen soll, und jeden Tag mit ihr gehen.
birth-kit-travel-box = Reisekiste für die Welpen mit Wärmflasche
birth-kit-warm-box = Warme Kiste für die Welpen, solange sie nicht bei ihnen liegen kann
birth-kit-milk = Welpenmilch
birth-kit-feeding-set = Saugflasche oder Sondenbesteck
birth-kit-towels = Mehr Handtücher
birth-kit-aspirator = Sauger, um Nase und Maul frei zu machen
birth-kit-gloves = Handschuhe
birth-kit-thermometer = Fieberthermometer
birth-kit-scale = Waage auf 1 g
birth-kit-rails = Abstandsleisten in der Wurfkiste
birth-on-call-clinic-that-operates = Eine Klinik, die zu dieser Stunde operiert, vorher unterrichtet, höchstens eine halbe Stunde entfernt
birth-on-call-vet-reachable = Ihre Tierärztin oder ein Nachtdienst, der von ihr weiß
birth-on-call-driver = Jemand, der fährt, mit bereitem Auto
birth-on-call-second-person = Ein zweiter Mensch, der Welpen trocknet und wiederbelebt
birth-on-call-feeder = Jemand, der in den ersten Nächten füttert
rule-cycle-womb-watch-from-days = Tage nach Beginn einer Läufigkeit, von denen an auf eine entzündete Gebärmutter geachtet wird.
rule-cycle-womb-watch-to-days = Tage nach Beginn einer Läufigkeit, bis zu denen höchstens auf eine entzündete Gebärmutter geachtet wird.
rule-cycle-womb-sign-days = Tage, für die höchstens ein Zeichen einer entzündeten Gebärmutter nach der Tierärztin ruft, nachdem es gesehen wurde.
rule-birth-risks-small-dam-kg = Eine Hündin unter diesem Gewicht (erwachsen) hat öfter schwere Geburten.
rule-birth-risks-large-dam-kg = Eine Hündin ab diesem Gewicht (erwachsen) hat öfter schwere Geburten.
rule-birth-risks-older-dam-years = Alter bei der Geburt, von dem an eine Hündin leichter ermüdet und mehr tote Welpen bekommt.
rule-birth-risks-late-first-litter-years = Alter bei der Geburt, von dem an ein erster Wurf ein später ist.
rule-birth-risks-small-litter-pups = Ein gezählter Wurf von höchstens so vielen Welpen ist ein kleiner.
rule-birth-risks-large-litter-pups = Ein Wurf, von dem mehr als so viele Welpen gezählt wurden, ist ein sehr großer.
rule-birth-risks-low-calcium-dam-kg = Einer Hündin bis höchstens zu diesem Gewicht (erwachsen) fehlt mit mehreren Welpen leichter Kalzium.
rule-birth-risks-low-calcium-pups = Gezählte Welpen, von denen an einer kleinen Hündin leichter Kalzium fehlt.
rule-birth-risks-overweight-share = Eine Hündin, die beim Decken um diesen Anteil oder mehr schwerer war als ihr Gewicht als erwachsene, ist zu schwer.
rule-birth-risks-weighed-before-mating-days = Ein Gewicht der Hündin bis zu so viele Tage vor dem Decken, oder bis drei Wochen danach, ist das, mit dem sie gedeckt wurde.
rule-birth-risks-talk-over-days = Tage vor dem frühesten Tag der Geburt, bis zu denen die Risiken mit der Tierärztin besprochen sind.
womb-look-for = Wochen nach einer Läufigkeit kann sich die Gebärmutter mit Eiter füllen, mit Ausfluss oder ohne: achten auf Ausfluss, Durst, wenig Appetit, Mattigkeit, Fieber, Erbrechen und einen dicken Bauch.
womb-infected-today = Ihre Gebärmutter kann entzündet sein: Lassen Sie sie heute von der Tierärztin ansehen, auch ohne Ausfluss.
womb-infected-now = Ihre Gebärmutter kann entzündet sein, und sie ist krank: Rufen Sie jetzt die Tierärztin an.
womb-infected-why = Zeichen seit { $since }, { $weeks } Wochen nach Beginn der Läufigkeit.
task-womb-watch = { $dam }: auf Zeichen einer Gebärmutterentzündung achten
task-womb-watch-head = Auf Zeichen einer Gebärmutterentzündung achten
mating-test-brucellosis = { $dog } war positiv auf Brucellose: nicht decken, getrennt halten, Handschuhe tragen und die Tierärztin anrufen; in manchen Ländern ist sie meldepflichtig.
mating-test-positive = { $dog }: Die Untersuchung hat gefunden, wonach sie suchte ({ $test }): vor einem Decken mit der Tierärztin und dem Zuchtverein besprechen.
mating-test-positive-why = { $test }, untersucht am { $on }.
fault-missing-dam-or-sire = muss angegeben werden, oder sire_id, oder beides
mating-test-name-brucellosis = Brucellose
mating-test-name-herpes = Herpes
mating-test-name-hips = Hüften
mating-test-name-elbows = Ellbogen
mating-test-name-eyes = Augen
mating-test-name-heart = Herz
mating-test-why-brucellosis = Sie lässt Hündinnen ihre Welpen verlieren und macht unfruchtbar, ist nicht heilbar und geht auf Menschen über.
mating-test-why-herpes = Eine Hündin, die ihm nie begegnet ist, kann sich spät in der Trächtigkeit anstecken und neugeborene Welpen verlieren: sie dann getrennt halten und nach dem Impfstoff für Hündinnen fragen.
mating-test-name-patella = Kniescheiben
mating-test-name-thyroid = Schilddrüse
mating-test-name-hearing = Gehör
mating-test-name-breathing = Atmung
mating-test-name-spine = Wirbelsäule
mating-test-why-breed = Der Verein der Rasse verlangt es.
mating-test-why-breed-advises = Der Verein der Rasse rät dazu.
mating-test-why-kennel = Dein Zwinger verlangt es.
rule-mating-tests-thyroid-days = Höchstalter einer Untersuchung der Schilddrüse am Tag des Deckens.
rule-mating-tests-brucellosis-dam-days = Höchstalter der Untersuchung einer Hündin auf Brucellose am Tag des Deckens.
rule-mating-tests-brucellosis-sire-days = Höchstalter der Untersuchung eines Rüden auf Brucellose am Tag des Deckens.
rule-mating-tests-herpes-days = Höchstalter einer Untersuchung auf Herpes am Tag des Deckens.
rule-mating-tests-eyes-days = Höchstalter einer Untersuchung der Augen am Tag des Deckens.
schedule-live-close = Der Lebendimpfstoff vom { $given_on } folgte innerhalb weniger Tage auf einen anderer Art: Fragen Sie Ihre Tierärztin, ob er wiederholt werden muss. Zwei Lebendimpfstoffe gibt man am selben Tag oder mit mindestens { $least_days } Tagen Abstand.
schedule-live-close-why = Gegeben am { $given_on }, { $days } Tage nach dem davor ({ $before }).
schedule-test-shows-none = die Untersuchung vom { $tested_on } hat keinen Schutz gezeigt
regional-rabies = Tollwut nach dem Gesetz
regional-rabies-not-looked-for = Es wurde nichts nachgesehen: Fragen Sie Ihre Tierärztin, was das Gesetz zur Tollwut sagt.
fault-only-together-result = gibt es nur bei einer Untersuchung
fault-twice-series = ist schon genannt; nennen Sie jede Reihe einmal
fault-out-of-range-series-length = muss { $least } bis { $most } Zeichen haben
fault-only-together-protective = gehört zu einer Untersuchung auf Antikörper: geben Sie kind test und die Reihe an, vor der sie schützen
fault-only-together-antibody-test = gibt es nur bei Impfungen
fault-empty-batch = muss eine Charge mit einem Buchstaben oder einer Ziffer nennen
fault-twice-step-key = { $key } hat schon ein früherer Schritt; gib jedem Schritt seinen eigenen Schlüssel
fault-not-found-step-before = { $step } ist kein Schritt vor diesem; nenne einen, der es ist
fault-wrong-kind-anchor-of-litter = ein erwachsener Hund hat keinen eigenen Wurf, von dem gezählt werden kann; nimm birth, step oder last_dose
fault-wrong-kind-anchor-last-dose = last_dose ist für Pläne erwachsener Hunde; häng den Schritt an einen früheren
fault-only-together-last-dose-repeat = muss {"{}"} sein bei einem Schritt, der von der letzten Gabe zählt: Er wiederholt sich lebenslang
fault-out-of-range-plan-days = muss von { $least_days } bis { $most_days } Tage sein
fault-too-early-ideal-days = darf nicht vor earliest_days ({ $earliest_days }) liegen
fault-out-of-range-latest-days = muss von ideal_days ({ $ideal_days }) bis { $most_days } sein
fault-out-of-range-spacing-days = darf höchstens { $most_days } Tage sein
fault-only-together-repeat-interval = braucht einen Anker an einem früheren Schritt oder der letzten Gabe, und ideal_days von mindestens 1: Sie sind der Abstand
fault-empty-plan-text = muss ein Text von { $least } bis { $most } Zeichen sein
fault-too-long-plan-text = muss ein Text von { $least } bis { $most } Zeichen sein
health-plan-step-rabies-year = Tollwutimpfung nach einem Jahr
health-plan-note-rabies-year = Innerhalb eines Jahres, danach nach der Frist auf dem Beipackzettel. Zwei Wochen vor Ablauf als bester Tag: gängige Praxis, keine Quelle.
health-plan-step-rabies-adult = Tollwutimpfung des erwachsenen Hundes
health-plan-note-rabies-adult = Nach einem bis drei Jahren, je nach Mittel und Gesetz: Wo Ihr Impfpass einen früheren Tag nennt, gilt der. Zwei Wochen davor als bester Tag: gängige Praxis, keine Quelle.
health-plan-pup-vaccination-stiko = Grundimpfung wie in Deutschland: 8, 12 und 16 Wochen, 15 Monate
health-plan-step-stiko-week-8 = Grundimpfung mit 8 Wochen
health-plan-note-stiko-week-8 = Staupe und Parvovirose; Hepatitis, wo die Tierärztin es wünscht. Ab der 8. Woche; Breite des Fensters: gängige Praxis, keine Quelle.
health-plan-step-stiko-week-12 = Grundimpfung mit 12 Wochen
health-plan-note-stiko-week-12 = Vier Wochen nach der ersten; Breite des Fensters: gängige Praxis, keine Quelle.
health-plan-step-stiko-week-16 = Grundimpfung mit 16 Wochen
health-plan-note-stiko-week-16 = Mit 16 Wochen; Breite des Fensters: gängige Praxis, keine Quelle.
health-plan-step-stiko-month-15 = Grundimpfung mit 15 Monaten
health-plan-note-stiko-month-15 = Schließt die Grundimmunisierung ab; das Fenster, einige Wochen davor und danach: gängige Praxis, keine Quelle.
health-plan-step-stiko-adult = Impfung alle drei Jahre
health-plan-note-stiko-adult = Drei Jahre; ein Vierteljahr davor und danach: gängige Praxis, keine Quelle.
health-plan-pup-leptospirosis = Leptospirose, wo sie heimisch ist
health-plan-step-leptospirosis-first = Impfung gegen Leptospirose
health-plan-note-leptospirosis-first = Ab 8 Wochen, mit der Grundimpfung; der späteste Tag ist der der zweiten Grundimpfung.
health-plan-step-leptospirosis-second = Impfung gegen Leptospirose, zweite Gabe
health-plan-note-leptospirosis-second = Zwei bis vier Wochen nach der ersten; zwei Wochen mehr: gängige Praxis, keine Quelle.
health-plan-step-leptospirosis-yearly = Impfung gegen Leptospirose jedes Jahr
health-plan-note-leptospirosis-yearly = Alle 12 Monate, weil sie nicht länger schützt. Nach 18 Monaten ohne rät die StIKo Vet zu beiden ersten Gaben von neuem: Fragen Sie Ihre Tierärztin. Breite des Fensters: gängige Praxis, keine Quelle.
health-plan-pup-heartworm = Herzwurm: jeden Monat Vorbeugung, jedes Jahr eine Untersuchung
health-plan-step-heartworm-first = Erste Vorbeugung gegen Herzwürmer
health-plan-note-heartworm-first = Spätestens mit 8 Wochen; den frühesten Tag nennen Beipackzettel und Tierärztin: gängige Praxis, keine Quelle.
health-plan-step-heartworm-monthly = Vorbeugung gegen Herzwürmer jeden Monat
health-plan-note-heartworm-monthly = Das ganze Jahr jeden Monat; wo Mücken im Winter ruhen, wie Ihre Tierärztin sagt. Ein Monat zählt als 30 Tage, fünf Tage davor und danach: gängige Praxis, keine Quelle. Nach einer Lücke fragen, bevor es weitergeht.
health-plan-step-heartworm-test-first = Erste Untersuchung auf Herzwürmer
health-plan-note-heartworm-test-first = Ein jüngerer Hund kann nicht positiv sein: Von der Ansteckung an dauert es etwa sechs Monate.
health-plan-step-heartworm-test-yearly = Untersuchung auf Herzwürmer jedes Jahr
health-plan-note-heartworm-test-yearly = Auch nach einer Lücke in der Vorbeugung. Breite des Fensters: gängige Praxis, keine Quelle.
health-plan-pup-lungworm = Lungenwurm, wo er heimisch ist und ein Hund Schnecken frisst
health-plan-step-lungworm-first = Erste Behandlung gegen Lungenwürmer
health-plan-note-lungworm-first = Wenn ein Welpe ins Freie kommt, mit dem Mittel, das die Tierärztin wählt; die Tage: gängige Praxis, keine Quelle.
health-plan-step-lungworm-monthly = Behandlung gegen Lungenwürmer jeden Monat
health-plan-note-lungworm-monthly = Ein Monat zählt als 30 Tage, das Fenster: gängige Praxis, keine Quelle. Wo nicht behandelt wird, eine Untersuchung des Kots auf Larven.
health-plan-pup-ticks = Zecken, in ihrer Zeit
health-plan-step-ticks-first = Erster Schutz gegen Zecken
health-plan-note-ticks-first = Der früheste Tag ist der des Mittels; die Tage: gängige Praxis, keine Quelle.
health-plan-step-ticks-again = Schutz gegen Zecken von neuem
health-plan-note-ticks-again = Wie lange er hält, sagt das Mittel (ein bis acht Monate): Für einen anderen Abstand einen eigenen Plan mit diesem Schlüssel anlegen. Trotzdem jeden Tag nach Zecken sehen.
regional-disease-leptospirosis = Leptospirose
regional-disease-core = Staupe und Parvovirose
regional-disease-heartworm = Herzwurm (Dirofilaria immitis)
regional-disease-lungworm = Lungenwurm (Angiostrongylus vasorum)
regional-disease-ticks = Zecken
regional-disease-roundworm = Spulwürmer
regional-disease-leishmaniosis = Leishmaniose
regional-why-leptospirosis-germany = Die deutsche Impfkommission zählt sie zu den Core-Impfungen: mit 8 und 12 Wochen, mit 15 Monaten und jedes Jahr.
regional-why-core-germany = Die deutsche Impfkommission schließt die Reihe der Welpen mit 15 Monaten ab, der Weltverband mit 26 Wochen: Wählen Sie durch einen Plan.
regional-why-leptospirosis-britain = Im Vereinigten Königreich zählt die Impfung zu den Core-Impfungen.
regional-why-leptospirosis-north-america = Der amerikanische Verband der Tierkliniken (AAHA) zählt sie für jeden Hund zu den Core-Impfungen.
regional-why-leptospirosis-switzerland = Sie ist dort heimisch, mit bis zu 28 Fällen auf 100.000 Hunde im Jahr, und die Leitlinien von 2024 zählen sie dann zu den Core-Impfungen.
regional-why-leptospirosis-europe = Die Leitlinien von 2024 zählen sie dort zu den Core-Impfungen, wo sie heimisch ist; ob sie es bei Ihnen ist, weiß Ihre Tierärztin.
regional-why-leptospirosis-oceania = Die Leitlinien von 2024 zählen sie dort zu den Core-Impfungen, wo sie heimisch ist; ob sie es bei Ihnen ist, weiß Ihre Tierärztin.
regional-why-heartworm-united-states = Er wurde in allen Staaten gefunden, und die American Heartworm Society rät zu einer Vorbeugung das ganze Jahr.
regional-why-heartworm-europe = Mücken tragen ihn am Mittelmeer, auf dem Balkan und in einigen östlichen Gegenden: in der Zeit der Mücken dort, und bei Hunden, die reisen.
regional-why-heartworm-oceania = Ein australisches Gremium rät zu einer Vorbeugung das ganze Jahr für jeden Hund; am häufigsten ist er im warmen Norden und Osten.
regional-why-lungworm-europe = Schnecken tragen ihn in vielen Gegenden Europas; ob in Ihrer, und ob Ihre Hunde sie fressen, entscheidet.
regional-why-ticks-europe = Sie tragen mehrere Krankheiten; in ihrer Zeit schützen und einen Hund jeden Tag absuchen.
regional-why-ticks-united-states = Der Parasitenrat der Vereinigten Staaten rät zum Schutz vor Zecken das ganze Jahr, für jedes Tier; einen Hund trotzdem jeden Tag absuchen.
regional-why-ticks-canada = Sie tragen mehrere Krankheiten; in ihrer Zeit schützen und einen Hund jeden Tag absuchen.
regional-why-worming-united-states = Der Parasitenrat der Vereinigten Staaten entwurmt Welpen ab zwei Wochen alle zwei Wochen, bis sie ein monatliches Mittel bekommen; der europäische beendet das monatliche Entwurmen mit sechs Monaten: Wählen Sie durch einen Plan.
regional-why-leishmaniosis-europe = Sandmücken tragen sie rund ums Mittelmeer. Was sie fernhält, kommt zuerst; bei einem Impfstoff gilt die Reihe des Mittels, nach einer Untersuchung: der Plan Ihrer Tierärztin, als eigener eingetragen.
health-plan-pup-worming = Entwurmung der Welpen, alle 14 Tage bis zwei Wochen nach dem Absetzen
health-plan-step-worming-first = Erste Entwurmung
health-plan-note-worming-first = Ab zwei Wochen Alter. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-worming-fortnightly = Entwurmung alle 14 Tage
health-plan-note-worming-fortnightly = Bis zwei Wochen nach dem Absetzen. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-worming-monthly = Entwurmung jeden Monat
health-plan-note-worming-monthly = Bis sechs Monate Alter; ein Monat zählt als 30 Tage. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-pup-worming-2-4-6-8 = Entwurmung der Welpen mit 2, 4, 6 und 8 Wochen
health-plan-step-worming-week-2 = Entwurmung mit 2 Wochen
health-plan-note-worming-week-2 = Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-worming-to-week-8 = Entwurmung mit 4, 6 und 8 Wochen
health-plan-note-worming-to-week-8 = Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-worming-preventive = Monatliche Vorbeugung
health-plan-note-worming-preventive = Ein Monat zählt als 30 Tage. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-dam-worming = Entwurmung der säugenden Hündin
health-plan-step-dam-with-first-worming = Entwurmung der Hündin mit der ersten der Welpen
health-plan-note-dam-with-first-worming = Zusammen mit der ersten Behandlung der Welpen. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-dam-worming-2-4-6-8 = Entwurmung der säugenden Hündin, immer wenn die Welpen entwurmt werden
health-plan-step-dam-week-2 = Entwurmung der Hündin nach 2 Wochen
health-plan-note-dam-week-2 = Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-dam-to-week-8 = Entwurmung der Hündin nach 4, 6 und 8 Wochen
health-plan-note-dam-to-week-8 = Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-dam-worming-pregnancy = Entwurmung in der Trächtigkeit, wenn der Tierarzt sie anordnet
health-plan-step-pregnancy-day-40 = Behandlung am Tag 40 der Trächtigkeit
health-plan-note-pregnancy-day-40 = Eine von zwei Möglichkeiten; der Tierarzt entscheidet, ob und womit. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-step-pregnancy-day-55 = Behandlung am Tag 55 der Trächtigkeit
health-plan-note-pregnancy-day-55 = Eine von zwei Möglichkeiten; der Tierarzt entscheidet, ob und womit. Breite des Fensters und Abstand: gängige Praxis, keine Quelle.
health-plan-pup-vaccination = Grundimpfung: Staupe, Adenovirus, Parvovirus
health-plan-step-core-first = Erste Grundimpfung
health-plan-note-core-first = Ab 6 bis 8 Wochen Alter.
health-plan-step-core-series = Grundimpfung, Serie
health-plan-note-core-series = Alle 2 bis 4 Wochen; die letzte mit 16 Wochen oder später.
health-plan-step-core-26-weeks = Grundimpfung mit 26 Wochen
health-plan-note-core-26-weeks = Mit 26 Wochen statt mit 12 Monaten; eine Untersuchung mit 20 Wochen oder später, vier Wochen nach der letzten Gabe, die Antikörper zeigt, tritt an ihre Stelle.
health-plan-step-core-adult = Grundimpfung des erwachsenen Hundes
health-plan-note-core-adult = Nicht öfter als alle drei Jahre; eine Untersuchung, die Antikörper zeigt, tritt an ihre Stelle. Der späteste Tag: gängige Praxis, keine Quelle.
health-plan-pup-rabies = Tollwutimpfung, wo Tollwut vorkommt oder eine Grenze sie verlangt
health-plan-step-rabies-first = Tollwutimpfung
health-plan-note-rabies-first = Ab 12 Wochen Alter; das Recht des Landes entscheidet. Für eine Grenze in der Europäischen Union: nicht vor 12 Wochen, dann 21 Tage Wartezeit, also 15 Wochen (Verordnung (EU) Nr. 576/2013, nach der Zusammenfassung auf Seiten von Verbänden und Nachrichten). Der letzte Tag: gängige Praxis, keine Quelle.
health-plan-step-rabies-second = Tollwutimpfung, zweite
health-plan-note-rabies-second = Wo die Gefahr groß ist: 2 bis 4 Wochen nach der ersten.
health-plan-pup-identity = Mikrochip
health-plan-step-microchip = Mikrochip
health-plan-note-microchip = Bis 8 Wochen Alter in England; vor 7 Wochen in den Niederlanden. Der früheste und der beste Tag: gängige Praxis, keine Quelle.
health-plan-pup-examination = Tierärztliche Untersuchung und Tests
health-plan-step-examination-before-leaving = Tierärztliche Untersuchung vor der Abgabe
health-plan-note-examination-before-leaving = Herz, Augen, Zähne, Nabelbruch, Hoden, Nährzustand.
health-plan-step-faecal-first = Kotprobe, erstes Jahr
health-plan-note-faecal-first = 2 bis 4 Kotproben im ersten Jahr; die Tage im Jahr: gängige Praxis, keine Quelle.
health-plan-step-faecal-second = Kotprobe, zweite des ersten Jahres
health-plan-note-faecal-second = 2 bis 4 Kotproben im ersten Jahr; die Tage im Jahr: gängige Praxis, keine Quelle.
health-plan-grown-worming = Entwurmung erwachsener Hunde, viermal im Jahr
health-plan-step-grown-worming = Entwurmung, oder stattdessen eine Kotprobe
health-plan-note-grown-worming = Ein Vierteljahr zählt als 91 Tage; die Breite des Fensters ist gängige Praxis. Für Zwinger nennt die Leitlinie eine monatliche Behandlung oder alle vier Wochen eine Kotprobe und die Behandlung nach ihrem Ergebnis: Der Tierarzt wählt.

## Gewichte in anderen Einheiten

fault-not-together-weight-units = steht neben einer anderen Einheit; gib eine an (lb und oz gehören zusammen)
fault-wrong-type-number = muss eine Zahl sein
fault-out-of-range-stated-weight = ergibt { $weight_g } g; es müssen { $least_g } bis { $most_g } g sein

## Aufgaben

## Vorbereitung und Einkauf

## Bereit zur Abgabe

## Berichte

## Begleitheft

## Was wiederkehrt: Rat, Zeiten, Spannen, Mengen

## Fehler in dem, was über Hündin und Welpen aufgeschrieben wird

## Die Nacht der Geburt

## Vor der Geburt

## Das Blatt an der Wurfkiste

## Die Hündin nach der Geburt

## Der neugeborene Welpe

## Gewichte, die rufen

## Bevor ein Welpe abgegeben wird

## Wie viele Welpen zu erwarten sind

## Warum ein Koeffizient eine Untergrenze ist

## Zeichen an der Hündin und am Welpen

## Einträge: was an einem Wert nicht stimmt

## Einheiten der Regeln

## Tage

## Die Uhr eines Geräts

## Was bleibt, wenn die Daten eines Käufers gelöscht werden

## Dateien, die eingelesen werden: Zellen

## Dateien, die eingelesen werden: Spalten

## Dateien, die eingelesen werden: Zeilen

## Dateien, die eingelesen werden: Arbeitsmappen

## Dateien, die eingelesen werden: Hunde und ihre Eltern

## Archive

## Regeln: wofür jede da ist

## Zucht: Aufzählungen

## Zucht: Fehler, die öfter vorkommen

## Zucht: Grenzen

## Zucht: Recht

## Zucht: Mikrochips

## Zucht: Abstammung und Rassen

## Zucht: Genmarker

## Zucht: Fellfarbe

## Zucht: sichtbare Merkmale

## Zucht: Verpaarungspläne

## Zucht: Kalender des Zwingers

## Zucht: Abgabe der Welpen

## Probleme: Überschriften

problem-title-unreadable = Die Anfrage ist nicht lesbar
problem-title-not-logged-in = Keine gültige Anmeldung
problem-title-second-factor = Ein zweiter Faktor ist nötig
problem-title-forbidden = Deine Rolle erlaubt das nicht
problem-title-not-found = Nicht da, oder nicht deins
problem-title-wrong-method = Dieser Pfad nimmt diese Methode nicht
problem-title-conflict = Schon vergeben oder in Gebrauch
problem-title-stale = Inzwischen von jemand anderem geändert
problem-title-too-large = Der Inhalt ist zu groß
problem-title-wrong-media-type = Der Inhalt ist von einem anderen Medientyp
problem-title-not-acceptable-values = Lesbar, aber nicht annehmbar
problem-title-missing-precondition = Sag, welche Fassung du gesehen hast
problem-title-too-many-requests = Zu viele Anfragen
problem-title-fault = Ein Fehler des Dienstes
problem-title-too-slow = Die Anfrage dauerte zu lange
problem-title-unavailable = Die Datenbank ist nicht erreichbar
problem-title-busy = Andere werden bedient
problem-title-full = Es ist kein Platz mehr zum Schreiben

## Probleme: was diesmal nicht geht

problem-values = { $count ->
    [one] Ein Wert ist nicht annehmbar; siehe errors.
   *[other] { $count } Werte sind nicht annehmbar; siehe errors.
}
problem-more-values = Mehr als { $most } Werte sind nicht annehmbar; { $most } davon stehen in errors.
problem-not-found = Unter dieser Adresse ist nichts, oder du darfst es nicht sehen.
problem-no-such-path = Diese Adresse gibt es nicht; welche es gibt, steht in /openapi.json.
problem-no-kind-of-file = Diese Art von Datei gibt es nicht; nimm { $known }.
problem-wrong-method = Dieser Pfad nimmt { $methods }.
problem-too-slow = Es kam nicht rechtzeitig an oder wurde nicht rechtzeitig fertig; nichts wurde geschrieben. Sende weniger auf einmal.
problem-stale = Lies es neu, sieh nach, was sich geändert hat, und wiederhole es mit dem neuen ETag.
problem-nothing-written = Nichts wurde geschrieben.
problem-fault-logged = Nichts wurde geschrieben. Im Protokoll steht es unter { $id }.
problem-later-seconds = Versuch es in ein paar Sekunden noch einmal.
problem-later-room = Behalte es und versuch es in einigen Minuten noch einmal; wer den Dienst betreibt, muss Platz schaffen.
problem-later-computing = Es wird gerade zu viel gerechnet; versuch es in ein paar Sekunden noch einmal.
problem-later-large = Andere senden gerade große Anfragen; versuch es in ein paar Sekunden noch einmal.
problem-query = Die Abfrage in der Adresse ist nicht lesbar.
problem-json = Der Inhalt ist kein JSON: Ab Zeile { $line }, Spalte { $column } ist er nicht lesbar.
problem-json-ends = Der Inhalt ist kein JSON: Er endet zu früh, in Zeile { $line }, Spalte { $column }.
problem-too-deep = Im Inhalt sind mehr als { $most } Listen oder Objekte ineinander geschachtelt.
problem-too-many-parts = Sende weniger auf einmal; hier darf der Inhalt { $most } Werte haben.
problem-too-large-mb = Sende weniger auf einmal; hier darf der Inhalt { $most_mb } MB haben.
problem-too-large-kb = Sende weniger auf einmal; hier darf der Inhalt { $most_kb } KB haben.
problem-media-type = Sende den Inhalt mit Content-Type: { $wanted }.
problem-not-whole-ended = Der Inhalt kam nicht ganz an: Er endete vor seiner Länge.
problem-not-whole-chunks = Der Inhalt kam nicht ganz an: Seine Stücke sind nicht lesbar.
problem-not-whole-connection = Der Inhalt kam nicht ganz an: Die Verbindung brach ab.
problem-packing-of-file = Sende die Datei, wie sie ist, oder einmal mit gzip gepackt.
problem-packing = Sende den Inhalt, wie er ist, ohne Content-Encoding.
problem-unpacking = Der Inhalt lässt sich nicht entpacken; er ist beschädigt oder anders gepackt.
problem-too-many-tries = Zu viele Versuche; warte { $seconds } Sekunden.
problem-streams-of-person = Du folgst den Änderungen schon in { $most } Strömen; schließ einen, oder frag von Zeit zu Zeit nach Änderungen (?after=).
problem-streams-of-kennel = Diesem Zwinger wird schon in { $most } Strömen gefolgt; schließ einen, oder frag von Zeit zu Zeit nach Änderungen (?after=).
problem-streams-in-all = Dieser Dienst bedient schon so viele Ströme, wie er kann; frag von Zeit zu Zeit nach Änderungen (?after=).

## Probleme: Anmeldungen

problem-login-needed = Melde dich unter /v1/auth/login an und sende Authorization: Bearer ACCESS_TOKEN.
problem-login-token-not-good = Das Zugriffstoken ist ungültig oder abgelaufen; erneuere es oder melde dich neu an.
problem-login-token-dead = Das Zugriffstoken ist unbekannt, abgelaufen oder zurückgezogen.
problem-login-session-ended = Diese Sitzung wurde beendet; melde dich neu an.
problem-login-no-session = Hier gibt es keine Sitzung; melde dich an.
problem-login-changed-meanwhile = Das Passwort oder eine Sitzung wurde inzwischen geändert; melde dich neu an.
problem-login-refresh-unknown = Das Erneuerungstoken ist unbekannt oder beendet; melde dich neu an.
problem-login-invitation = Die Einladung ist unbekannt, benutzt oder abgelaufen; bitte um eine neue.
problem-login-does-not-fit = E-Mail-Adresse und Passwort passen nicht zusammen.
problem-second-factor-needed = Das Passwort stimmt; sende es noch einmal mit dem Code deines zweiten Faktors.
problem-second-factor-not-good = Der Code gilt nicht oder nicht mehr.

## Probleme: was eine Rolle nicht erlaubt

problem-forbidden-dogs = Das sieht, wer Mitglied des Zwingers ist.
problem-forbidden-observations = Mit der Rolle „viewer“ liest man nur; bitte einen Inhaber um die Rolle „helper“.
problem-forbidden-breeding = Das darf ein Inhaber oder ein Miteigentümer des Hundes.
problem-forbidden-placing = Welpen vergibt ein Inhaber oder ein Miteigentümer des Welpen.
problem-forbidden-money = Geld sieht ein Inhaber oder ein Miteigentümer des Welpen.
problem-forbidden-managing = Das darf nur ein Inhaber.
problem-forbidden-area = Das Zugriffstoken öffnet diesen Bereich nicht, oder die Rolle seiner Person tut es nicht.
problem-forbidden-token = Mit einem Zugriffstoken geht das nicht; melde dich als Person an.
problem-forbidden-token-reads = Dieses Zugriffstoken liest nur.
problem-forbidden-person-logged-in = Das darf nur eine Person, die angemeldet ist.
problem-forbidden-all-areas = Das umfasst alles, was der Zwinger hat, und das Zugriffstoken öffnet nicht alle Bereiche; melde dich als Inhaber an, oder nimm ein Token ohne Bereiche.
problem-forbidden-new-dog = Einen neuen Hund trägt nur ein Inhaber ein; Welpen kommen durch ihre Geburt dazu.
problem-forbidden-helpers-day = Ein Helfer nimmt eine Geburt { $hours } Stunden lang zurück; danach löscht sie ein Inhaber oder ein Miteigentümer des Welpen.
problem-forbidden-kennels-costs = Nenn den Wurf, für den das Geld war; die Kosten des Zwingers selbst sind Sache der Inhaber.
problem-forbidden-statement = Du liest deine eigene Abrechnung; die der anderen lesen die Inhaber.
problem-forbidden-kennels-task = Eine Aufgabe des ganzen Zwingers ist Sache eines Inhabers; nenn den Hund oder den Wurf, um den es geht.
problem-forbidden-absences = Abwesenheiten anderer trägt nur ein Inhaber ein.
problem-forbidden-whole-kennel = Das gehört dem ganzen Zwinger; bitte einen Inhaber, es zu ändern.
problem-forbidden-other-address = Die Einladung gilt für eine andere E-Mail-Adresse; melde dich mit dieser an.
problem-forbidden-sign-up-closed = Hier kann man sich nicht frei registrieren; gib das Geheimnis einer Einladung an, oder frag, wer diesen Dienst betreibt.
problem-forbidden-own-pages-header = Das ist für die eigenen Seiten des Dienstes; sende { $header }: 1.
problem-forbidden-other-page = Das ist für die eigenen Seiten des Dienstes; gefragt hat die Seite eines anderen Anbieters.

## Probleme: schon vergeben oder in Gebrauch

problem-conflict-in-use = Wird noch gebraucht ({ $by }); entferne oder ändere zuerst, was darauf verweist.
problem-conflict-moment = Jemand anders hat im selben Augenblick geschrieben; lies es neu.
problem-conflict-email = Eine Person mit dieser E-Mail-Adresse gibt es schon.
problem-conflict-kennel-here = Dieser Zwinger ist schon in dieser Datenbank; nimm das Archiv als Kopie auf (?copy=true).
problem-conflict-member = Diese Person ist schon Mitglied.
problem-conflict-last-owner = Ein Zwinger behält mindestens einen Inhaber; mach zuerst jemand anderen zum Inhaber.
problem-conflict-sole-owner = Du bist der einzige Inhaber von { $kennels }: Mach dort zuerst jemand anderen zum Inhaber, oder lösche den Zwinger.
problem-conflict-kennel-goes-on = Das Ende dieses Zwingers ist nicht gesetzt: Es gibt nichts zurückzunehmen.
problem-conflict-rule = Für diese Regel hat der Zwinger schon einen eigenen Wert; ändere diesen.
problem-conflict-webhooks = Dieser Zwinger hat 20 Webhooks, mehr gehen nicht; lösche zuerst einen.
problem-conflict-chip = Ein anderer Hund hat diese chip_number.
problem-conflict-imported-id = Ein anderer Hund hat diese imported_id.
problem-conflict-share = Diese Person hat schon einen Anteil an diesem Hund; ändere diesen.
problem-conflict-former-share = Diese Person hält an einigen dieser Tage schon einen Anteil an diesem Hund; ändere diesen.
problem-conflict-report-decided = Über diesen Bericht ist schon entschieden.
problem-conflict-reports-wait = Zehn Berichte über diesen Hund warten schon auf den Zwinger. Erzähl mehr, sobald er sie gelesen hat, oder nimm einen zurück.
problem-conflict-marker = Für diesen Marker hat der Hund schon ein Ergebnis; ändere dieses.
problem-conflict-breed-test = Der Zwinger verlangt diese Untersuchung für diese Rasse schon; ändere diese Zeile.
problem-conflict-free-test = Dieser Hund hat schon ein Ergebnis dieses Namens; ändere es.
problem-conflict-heat = Diese Hündin hat schon eine Läufigkeit, die an dem Tag begann.
problem-conflict-litter-of-mating = Diese Deckung hat schon einen Wurf.
problem-conflict-plan-key = Ein Gesundheitsplan hat diesen Schlüssel schon; ändere diesen.
problem-conflict-plan-moment = Jemand anders hat diesen Plan im selben Augenblick geändert; versuch es noch einmal.
problem-conflict-litter-plan = Der Wurf folgt diesem Plan schon.
problem-conflict-paper = Dieses Papier des Welpen ist schon eingetragen; ändere diesen Eintrag.
problem-conflict-follow-up = Diese Nachfrage ist schon erledigt.
problem-conflict-pup-placed = Dieser Welpe ist schon reserviert oder abgegeben.
problem-conflict-ordinal = Diese Nummer ist im Wurf vergeben.
problem-conflict-dog-id = Ein Hund hat diese id schon.
problem-conflict-birth-id = Eine Geburt hat diese id schon.
problem-conflict-birth-weight = Der Welpe hat schon ein Geburtsgewicht; ändere dieses.
problem-conflict-birth-of-dog = Dieser Hund hat schon eine Geburt.
problem-conflict-place-name = Ein Platz heißt schon so.
problem-conflict-supply = Dieser Vorrat ist schon gezählt; ändere den Eintrag.
problem-conflict-entries-rest = Andere Buchungen des Kontos beruhen auf dieser; ändere zuerst diese anderen.
problem-conflict-owner-deleted = Das, wozu dieser Eintrag gehört, ist ebenfalls gelöscht; stell zuerst das wieder her.
problem-conflict-pups-dog-deleted = Der Hund zum Welpen wurde mit der Geburt gelöscht; stell zuerst ihn wieder her.
problem-conflict-import-logged = Eine Einfuhr steht ohne ihre Zeilen im Protokoll; ändere oder lösche diese einzeln.
problem-conflict-not-restored = Das wird aus dem Protokoll nicht wiederhergestellt ({ $what }); leg es neu an.
problem-conflict-row-in-parts = Was das Protokoll von diesem Eintrag noch hat, ist nicht mehr vollständig; schreib ihn neu.
problem-conflict-companion = Was zusammen damit gelöscht wurde ({ $what }), passt nicht mehr: { $why }
problem-conflict-buyer-waits = Diesem Käufer ist ein Welpe angeboten oder versprochen; zieh zuerst die Vergabe zurück.
problem-conflict-handed-over = Der Welpe ist abgegeben; kommt er zurück, ist die Stufe „returned“.
problem-conflict-litter-full = Der Wurf hat schon { $most } Welpen.
problem-conflict-collar = Welpe { $ordinal } dieses Wurfs trägt dieses Halsband. Ist es dieser Welpe, dann ist er schon aufgeschrieben; ist es ein anderer, gib ihm ein anderes Halsband, oder zuerst Welpe { $ordinal } eines.
problem-conflict-same-pup = Das sieht nach Welpe { $ordinal } aus, mit { $seconds } s Abstand und denselben Merkmalen aufgeschrieben. Ist deiner ein anderer Welpe, sende ihn noch einmal mit "ordinal": { $next }.
problem-conflict-maybe-same-pup = Das kann Welpe { $ordinal } sein, den jemand anders mit { $seconds } s Abstand aufgeschrieben hat und den nichts davon unterscheidet. Ist deiner ein anderer Welpe, sende ihn noch einmal mit "ordinal": { $next }.
problem-conflict-not-next-pup = Welpe { $ordinal } ist schon aufgeschrieben, oder einer vor ihm ist es nicht; der nächste ist Welpe { $next }. Ist deiner ein anderer Welpe, sende ihn noch einmal ohne ordinal.
problem-conflict-birth-changed = Eine Geburt wurde inzwischen geändert: Der Elternteil { $parent } wäre nicht älter als { $child }; versuch es noch einmal.
problem-conflict-second-factor-on = Ein zweiter Faktor ist schon an; nimm ihn zuerst weg.
problem-conflict-no-second-factor = Kein zweiter Faktor wartet auf einen Code; beginne zuerst einen.

## Wiederhergestellte Einträge, Zeilen einer Sendung, Zeilen eines Archivs

restore-fault-at = { $place } { $what }.
restore-owner-gone = Das, wozu es gehört, ist nicht mehr da.
batch-corrected-since = seither berichtigt, und bleibt wie berichtigt
batch-deleted-since = schon gespeichert und seither gelöscht, und bleibt gelöscht
batch-same-weighing = dieselbe Wägung ist unter einer anderen id da
archive-left-for-reading = ist nur zum Lesen da
archive-left-other-people = nennt andere Personen als dich; lade sie ein und trag es dann neu ein

## Der Pfad

fault-not-found-row = hier ist nichts, oder du darfst es nicht sehen
fault-no-such-path = diese Adresse gibt es nicht; welche es gibt, steht in /openapi.json
fault-not-an-id = ist keine id; gib die UUID des Eintrags an

## Inhalte und Abfragen

fault-missing-field = fehlt; es muss angegeben werden
fault-twice-field = steht zweimal da; gib es einmal an
fault-unknown-field = ist hier kein Feld; lass es weg (die Felder sind { $known })
fault-unknown-field-near = ist hier kein Feld; meinst du "{ $near }"? (die Felder sind { $known })
fault-unknown-field-untold = ist hier kein Feld; lass es weg
fault-unknown-field-parameter = ist hier kein Parameter; es gibt { $known }
fault-unknown-field-parameter-near = ist hier kein Parameter; meinst du "{ $near }"? (es gibt { $known })
fault-unknown-field-parameter-none = ist hier kein Parameter; lass ihn weg
fault-unknown-value = ist nichts von { $known }
fault-unknown-value-near = ist nichts von { $known }; meinst du "{ $near }"?
fault-wrong-type = muss { $expected } sein, nicht { $given }
fault-wrong-type-wanted = muss { $expected } sein
fault-wrong-type-truth = muss true oder false sein
fault-wrong-type-whole-number = ist keine ganze Zahl
fault-wrong-type-figure = ist keine Zahl
fault-wrong-type-fields = ist kein Objekt mit Feldern, die zu ändern sind
fault-malformed-wanted = ist nicht lesbar; es muss { $expected } sein
fault-malformed-as-said = { $what }
fault-malformed-value = { $given } wird hier nicht angenommen; was angenommen wird, steht im veröffentlichten Dokument
fault-malformed-value-untold = wird hier nicht angenommen; was angenommen wird, steht im veröffentlichten Dokument
fault-malformed-form = { $given } hat keine der Formen, die hier angenommen werden
fault-malformed-pattern = { $given } passt nicht auf { $pattern }
fault-malformed-date = ist kein Tag; schreib ihn als 2026-05-17
fault-malformed-date-time = ist keine Zeit mit Zeitverschiebung; schreib sie als 2026-05-17T04:10:00+02:00
fault-malformed-day-or-time = ist nicht als Tag oder Zeit lesbar; schreib 2026-05-17 oder 2026-05-17T04:10:00+02:00
fault-malformed-part-of-date = ist kein Datum; schreib einen Tag (2020-05-17), einen Monat (2020-05) oder ein Jahr (2020)
fault-malformed-uuid = ist keine id; gib die UUID des Eintrags an
fault-malformed-email = ist keine E-Mail-Adresse
fault-malformed-format = hat nicht das Format { $format }
fault-malformed-nul-in-text = enthält das Zeichen U+0000; lass es weg
fault-malformed-nul-in-query = enthält U+0000
fault-malformed-field-name = hat ein Steuerzeichen im Namen
fault-malformed-nil-id = muss eine eigene UUID sein, nicht null
fault-empty-text = { $least ->
    [one] ist leer; es muss ein Zeichen oder mehr haben
   *[other] ist leer; es muss { $least } Zeichen oder mehr haben
}
fault-too-short-text = { $given } ist kürzer als { $least } Zeichen
fault-too-long-text = { $given } ist länger als { $most } Zeichen
fault-too-few-items = { $least ->
    [one] hat weniger als einen Eintrag
   *[other] hat weniger als { $least } Einträge
}
fault-too-many-items = { $most ->
    [one] hat mehr als einen Eintrag
   *[other] hat mehr als { $most } Einträge
}
fault-twice-items = nennt etwas zweimal; nenn jedes einmal
fault-out-of-range-least = { $given } ist weniger als das Mindeste, { $least }
fault-out-of-range-most = { $given } ist mehr als das Höchste, { $most }
fault-out-of-range-above = { $given } liegt nicht über { $limit }
fault-out-of-range-below = { $given } liegt nicht unter { $limit }
fault-out-of-range-number = ist eine Zahl, die zu groß oder zu klein ist, um sie zu behalten
fault-out-of-range-of-query = muss von { $least } bis { $most } sein
fault-out-of-range-generations = muss { $least } bis { $most } Generationen sein
fault-out-of-range-after = muss { $least } oder mehr sein
with-unit = { $what }; { $hint }
unit-grams = gib ganze Gramm an
unit-grams-meant = gib ganze Gramm an: { $number } kg sind { $of_kg } g, { $number } lb sind { $of_lb } g, { $number } oz sind { $of_oz } g
unit-celsius = gib Grad Celsius an
unit-celsius-meant = gib °C an: { $number } °F sind { $of_fahrenheit } °C
type-array = eine Liste
type-boolean = true oder false
type-integer = eine ganze Zahl
type-null = null
type-number = eine Zahl
type-object = ein Objekt
type-string = ein Text
format-date = ein Tag, geschrieben als 2026-05-17
format-time = eine Uhrzeit, geschrieben als 04:10
format-date-time = eine Zeit mit Zeitverschiebung, geschrieben als 2026-05-17T04:10:00+02:00
format-uuid = eine id (eine UUID)
fault-unreadable-json = ist ab Zeile { $line }, Spalte { $column } nicht lesbar
fault-unreadable-json-ends = endet zu früh, in Zeile { $line }, Spalte { $column }
fault-ours-schema = lässt sich nicht prüfen; das ist ein Fehler des Dienstes
fault-differs-path = weicht vom Pfad ab; lass es weg
fault-too-long-plan-key = muss { $least } bis { $most } Zeichen haben
fault-too-long-log-word = ist länger als { $most } Zeichen; gib ein Wort des Protokolls an

## Listen

fault-malformed-cursor = stammt von keiner Seite dieser Liste; lass es weg, um neu zu beginnen
fault-malformed-cursor-of-order = stammt von keiner Seite dieser Liste in dieser Ordnung; lass es weg, um neu zu beginnen
fault-unsupported-sort = wird hier nicht angenommen: Diese Liste hat ihre eigene Ordnung
fault-unknown-value-sequence = ist weder sequence noch -sequence
fault-unknown-value-sort = nennt ein Feld, nach dem diese Liste nicht geordnet wird; nenn einige von { $known }, umgekehrt mit - davor
fault-twice-sort = nennt { $field } zweimal; einmal genügt
fault-too-many-sort-fields = nennt mehr als { $most } Felder; nenn weniger

## Sendungen und Dateien

fault-wrong-type-items = muss eine Liste von Zeilen sein
fault-wrong-type-row = ist kein Objekt mit den Feldern einer Zeile
fault-wrong-type-record = muss ein Objekt sein: der Inhalt, den die Ressource dieser Art nimmt
fault-too-few-rows-of-batch = hat { $count } Zeilen; sende { $least } bis { $most } auf einmal
fault-too-many-rows-of-batch = hat { $count } Zeilen; sende { $least } bis { $most } auf einmal
fault-limit-faults-of-batch = ist nicht annehmbar; sende weniger Zeilen auf einmal, um zu erfahren, warum
fault-differs-subject = weicht von subject_id ab; lass es weg
fault-not-allowed-row = { $why }
fault-not-found-subject = nennt in diesem Zwinger nichts, was du sehen darfst
fault-taken-row = { $why }
fault-taken-another-row = steht gegen eine andere Zeile: { $why }
fault-taken-row-id = gehört schon einer anderen Zeile; mach eine neue UUID
fault-taken-row-id-other-values = hat schon andere Werte; mach eine neue UUID, oder ändere jenen Eintrag
fault-taken-idempotency-key = wurde schon mit einer anderen Anfrage benutzt; nimm für eine neue Anfrage einen neuen Schlüssel
fault-twice-row-id = steht zweimal mit verschiedenen Werten in dieser Sendung
fault-twice-row-before = hat eine id, die schon eine Zeile davor hat
fault-twice-observation-of-line = ist noch einmal die Beobachtung aus Zeile { $line }; lass eine weg, oder gib eine andere Zeit an
fault-twice-buyer-of-line = ist noch einmal der Käufer aus Zeile { $line }
fault-unclear-buyer = { $name } kann jeder von { $count } Käufern sein; gib die E-Mail-Adresse an, die einer von ihnen hat
fault-missing-dog-of-row = fehlt; nenn den Hund dieser Zeile
fault-not-found-named = { $named } { $what }
fault-not-found-row-of-constraint = verweist auf einen Eintrag, der nicht da ist ({ $constraint })
fault-malformed-constraint = bricht die Regel { $constraint }
fault-out-of-range-row = lässt sich nicht behalten; ein Wert liegt außerhalb des Möglichen
fault-not-found-sire-in-archive = nennt keinen Rüden des Archivs
fault-not-found-dam-in-archive = nennt keine Hündin des Archivs
fault-too-young-parent = nennt einen Elternteil, der nicht älter ist
fault-own-ancestor-of-archive = macht den Hund zu seinem eigenen Ahnen
fault-not-together-sire-and-dam = ist auch die Mutter
fault-differs-payments = passt nicht zu den Zahlungen: { $what }
fault-differs-kennel-name = muss der Name des Zwingers sein, Buchstabe für Buchstabe; so löschst du keinen anderen

## Was ein Inhalt nennt und nicht da ist

fault-not-found-dog-here = nennt keinen Hund dieses Zwingers
fault-not-found-dog-that-fits = nennt keinen Hund dieses Zwingers, der passt (eine Läufigkeit braucht eine Hündin)
fault-not-found-dog-of-list = nennt keinen Hund aus der Liste dieses Zwingers
fault-not-found-dog-of-known-sex = nennt keinen Hund aus der Liste dieses Zwingers, dessen Geschlecht bekannt ist
fault-not-found-dog-any-more = nennt einen Hund, der nicht mehr da ist
fault-not-found-dog-or-share = verweist auf einen Hund, der nicht in diesem Zwinger ist oder an dem du keinen Anteil hast
fault-not-found-dam-here = nennt keine Hündin aus der Liste dieses Zwingers
fault-not-found-sire-here = nennt keinen Rüden aus der Liste dieses Zwingers
fault-not-found-dam-of-dog = nennt keine Hündin aus der Liste dieses Zwingers; gib einen Hund an, dessen Geschlecht weiblich ist
fault-not-found-sire-of-dog = nennt keinen Rüden aus der Liste dieses Zwingers; gib einen Hund an, dessen Geschlecht männlich ist
fault-not-found-litter-here = nennt keinen Wurf dieses Zwingers
fault-not-found-litter-any-more = nennt einen Wurf, der nicht mehr da ist
fault-not-found-heat-here = nennt keine Läufigkeit dieses Zwingers
fault-not-found-heat-of-dam = nennt keine Läufigkeit dieser Hündin
fault-not-found-mating-here = nennt keine Deckung dieses Zwingers
fault-not-found-mating-of-dam = nennt keine Deckung dieser Hündin
fault-not-found-place-here = nennt keinen Platz aus der Liste dieses Zwingers
fault-not-found-placement-here = nennt keine Vergabe dieses Zwingers
fault-not-found-buyer-here = nennt keinen Käufer dieses Zwingers
fault-not-found-member = nennt kein Mitglied dieses Zwingers
fault-not-found-member-ever = nennt niemanden, der je Mitglied war
fault-not-found-member-to-invite = nennt kein Mitglied dieses Zwingers; lade die Person zuerst ein, als Miteigentümer
fault-not-found-person = nennt niemanden; gib die id einer Person an, die sich anmelden kann
fault-not-found-plan = nennt weder einen Plan dieses Zwingers noch einen mitgelieferten; siehe health-plans
fault-not-found-birth-of-weight = gilt für einen Welpen, dessen Geburt hier eingetragen ist
fault-not-found-pup-by-label = { $label } nennt keinen Welpen des Wurfs; gib seinen Namen, sein Halsband oder seine Nummer an
fault-unclear-pup-by-label = { $label } nennt { $count } Welpen des Wurfs; gib die Nummer an
fault-unknown-value-currency-iso = ist keine gültige Währung nach ISO 4217
fault-unknown-value-event = ist nichts, wovon das Protokoll erzählt: { $known }
fault-unknown-value-supply = ist kein Vorrat aus der Vorlage des Zwingers ({ $known }); füge ihn zuerst dort hinzu
fault-unknown-value-breeding-rule-set = ist kein Regelwerk; bekannt: { $known }

## Was gegen andere Einträge geht

fault-fixed-plan-key = ändert sich nicht; mach einen anderen Plan mit diesem Schlüssel
fault-fixed-placement-dog = lässt sich nicht ändern; zieh diese Vergabe zurück und mach eine andere
fault-fixed-placement-kind = lässt sich nach dem Angebot nicht ändern; zieh diese Vergabe zurück und mach eine andere
fault-fixed-member = lässt sich nicht ändern; beende diese Mitgliedschaft und lade die andere Person ein
fault-fixed-birth = litter_id, dog_id und ordinal vergibt der Dienst, sie ändern sich nicht
fault-fixed-mating-offspring = betrifft den Wurf dieser Deckung: Welpen mit Nachkommen ({ $pups }), deren Ahnentafel sich mitändert. Berichtige zuerst den Wurf (mating_id null, seine Eltern, "confirmed": true), dann diese Deckung, und nenn sie im Wurf wieder.
fault-fixed-mating-parents = betrifft den Wurf dieser Deckung: Welpen mit anderen eingetragenen Eltern als der Wurf ({ $pups }), die ersetzt werden. Berichtige zuerst den Wurf (mating_id null, seine Eltern, "confirmed": true), dann diese Deckung, und nenn sie im Wurf wieder.
fault-unlikely-litter-offspring = betrifft die Welpen des Wurfs: Welpen mit Nachkommen ({ $pups }), deren Ahnentafel sich mitändert. Um alle zu berichtigen, sende es mit "confirmed": true.
fault-unlikely-litter-parents = betrifft die Welpen des Wurfs: Welpen mit anderen eingetragenen Eltern als der Wurf ({ $pups }), die ersetzt werden. Um alle zu berichtigen, sende es mit "confirmed": true.
fault-taken-birth-weight = der Welpe hat schon ein Geburtsgewicht; ändere dieses
fault-taken-chip-of-another = diese Nummer gehört schon einem anderen Hund
fault-already-done-chip = der Hund hat die Nummer { $chip_number }
fault-already-done-placement-ended = ist schon beendet; das Konto ist geschlossen
fault-differs-account = passt nicht zum Konto: { $what }
fault-differs-birth-time = ist nicht die Zeit der Geburt ({ $born_at }); berichtige born_at dort, dann geht dies mit
fault-differs-sire-of-mating = ist nicht der Rüde der Deckung; berichtige eines von beiden
fault-elsewhere-mating = nennt die Deckung einer anderen Hündin
fault-own-ancestor-dog = würde den Hund zu seinem eigenen Ahnen machen; berichtige sire_id oder dam_id
fault-too-young-sire-of-dog = nennt einen Vater, der nicht älter als der Hund ist; berichtige ein Geburtsdatum oder den Vater
fault-too-young-dam-of-dog = nennt eine Mutter, die nicht älter als der Hund ist; berichtige ein Geburtsdatum oder die Mutter
fault-too-late-before-offspring = liegt nicht vor der Geburt der eigenen Nachkommen
fault-too-early-due = liegt vor dem Tag der Untersuchung
fault-too-early-before-born = liegt vor der Geburt des Hundes ({ $born_on }); berichtige eines von beiden
fault-too-early-before-heat = liegt vor dem Beginn der Läufigkeit ({ $began_on }); berichtige eines von beiden
fault-too-early-before-tie = liegt vor dem ersten Hängen ({ $tied_at }); berichtige eines von beiden
fault-too-early-before-mating = liegt vor der Deckung ({ $mated_at }); berichtige eines von beiden
fault-too-early-whelped-before-mating = liegt nicht nach der Deckung ({ $mated_on }); berichtige eines von beiden
fault-too-late-after-heat = liegt mehr als { $most_days } Tage nach dem Beginn der Läufigkeit ({ $began_on }): eine andere Läufigkeit?
fault-out-of-range-measure = ist mehr, als Welpen dieser Größe bei der Geburt messen ({ $most_mm } mm); sind es mm, und stimmt das Erwachsenengewicht der Hündin?
fault-out-of-range-birth-above-dam = ist mehr, als die Hündin wiegt ({ $dam_weight_g } g); gib Gramm an
fault-out-of-range-shares-sum = lässt die Anteile an diesem Hund an einem Tag zusammen mehr als eins werden; sag, ab wann er gehalten wird (held_from)
fault-not-now-report-unwhelped = nennt einen Wurf, der noch nicht geboren ist; einen Bericht gibt es ab der ersten Geburt
fault-not-now-litter-unborn = nennt einen Wurf, der noch nicht geboren ist
fault-not-now-not-handed-over = der Welpe ist noch nicht abgegeben
fault-not-now-nothing-to-label = nennt einen Wurf, von dem kein Welpe hier ist; es gibt nichts zu beschriften
fault-gone-buyer-erased = nennt einen Käufer, dessen Daten gelöscht wurden
fault-gone-pup-died = der Welpe ist am { $died_on } gestorben; zieh diese Vergabe zurück und sag es dem Käufer
fault-gone-pup-stillborn = der Welpe wurde tot geboren; zieh diese Vergabe zurück und sag es dem Käufer
fault-gone-stillborn-growth = nennt einen tot geborenen Welpen, der kein Wachstum hat
fault-gone-dog-deleted = ein Hund wurde gelöscht
fault-not-met-rule = { $rule }: { $what }

## Fragen

fault-wrong-sex-heats = nennt einen Hund, der keine Hündin ist; nur Hündinnen werden läufig
fault-wrong-sex-not-female = nennt einen Rüden; gib eine Hündin an
fault-wrong-sex-not-male = nennt eine Hündin; gib einen Rüden an
fault-not-together-sire-is-dam-too = ist die Hündin selbst
fault-not-together-dog-ids = steht neben dog_id; gib eines von beiden an
fault-wrong-type-dog-ids = muss eine Liste von { $least } bis { $most } ids von Hunden sein
fault-twice-dog-of-list = steht schon in der Liste
fault-too-many-dogs-of-plan = { $count } Hunde mit den Rüden und dem Zuchtbestand; höchstens { $most } gehen
fault-too-many-pairs = macht { $pairs } Paare mit den Hündinnen; höchstens { $most } gehen, frag in Teilen
fault-too-many-pairs-limited = wird für höchstens { $most } Paare gerechnet; das sind { $pairs }
fault-too-many-pairs-explained = gibt es für höchstens { $most } Paare; das sind { $pairs }
fault-too-many-choices = macht { $count } Möglichkeiten; höchstens { $most } gehen
fault-not-together-heats-of-heat = ist für einen Wurf; eine Läufigkeit wird nur um Tage verschoben
fault-not-found-heat-of-plan = nennt keine Läufigkeit dieses Plans; nimm einen Schlüssel aus seinen Läufigkeiten
fault-not-found-key-of-plan = nennt keinen Wurf und keine Läufigkeit dieses Plans; nimm einen Schlüssel aus seinen Würfen oder Läufigkeiten
fault-fixed-litter-of-plan = nennt einen Wurf, der sich nicht verschieben lässt; das geht nur mit geplanten Deckungen
fault-unknowable-growth-unborn = nennt einen Hund, dessen Geburtstag unbekannt ist; gib ihn an, das Wachstum zählt ab da
feeding-lacks-weight = ein Gewicht dieses Hundes
fault-unknowable-no-day = hat keinen Tag, der in Frage kommt

## Anmeldungen und Adressen

fault-wrong-secret-password = ist nicht dein Passwort
fault-wrong-secret-second-factor = gilt nicht oder nicht mehr
fault-wrong-secret-reset = gilt nicht oder nicht mehr für diese Adresse; fordere einen neuen an
fault-wrong-secret-code-of-moment = ist nicht der Code dieses Augenblicks
fault-wrong-secret-invitation = ist unbekannt, benutzt, abgelaufen oder für eine andere Adresse; bitte um eine neue
fault-missing-second-factor = fehlt; dein zweiter Faktor ist an, gib seinen Code an
fault-too-short-password = ist zu kurz; nimm { $least } Zeichen oder mehr
fault-weak-password-own = ist kaum mehr als dein eigener Name oder deine Adresse; nimm Wörter, die nichts von dir verraten
fault-weak-password = gehört zu den ersten, die andere raten würden; nimm mehrere Wörter, die nicht zusammengehören
fault-malformed-address = ist keine Adresse; schreib eine wie https://kennel.example/hook
fault-unsupported-scheme = muss mit https:// beginnen
fault-unsupported-address-login = enthält einen Namen oder ein Passwort; wer anruft, zeigt die Signatur
fault-not-allowed-private-network = führt in ein privates Netz, was hier nicht erlaubt ist

## Mail und Zustellungen

reset-sent = Wenn es eine Anmeldung mit dieser Adresse gibt, ist ein Code dorthin unterwegs.
mail-reset-code-subject = Ein Code, um dein Passwort neu zu setzen
mail-reset-code =
    Jemand möchte dein Passwort bei denwright neu setzen. Der Code ist

        { $code }

    Er gilt { $minutes } Minuten lang und einmal. Warst du das nicht, tu nichts: Dein Passwort bleibt.
mail-password-changed-subject = Dein Passwort wurde geändert
mail-password-changed =
    Dein Passwort bei denwright wurde geändert, und alle Sitzungen außer der, die es geändert hat, sind beendet.

    Warst du das nicht, fordere sofort per Mail ein neues Passwort an und sag es der Person, die den Dienst betreibt.
mail-second-factor-off-subject = Dein zweiter Faktor wurde weggenommen
mail-second-factor-off = Der zweite Faktor deiner Anmeldung bei denwright wurde weggenommen.
mail-login-deleted-subject = Deine Anmeldung wurde gelöscht
mail-login-deleted =
    Deine Anmeldung bei denwright wurde gelöscht, mit allem, was sie öffnete. Das ist die letzte Mail an diese Adresse.

    Warst du das nicht, sag es der Person, die den Dienst betreibt.
mail-invitation-subject = { $inviter } lädt dich zu { $kennel } ein
mail-invitation-owner = Du bist zu { $kennel } als Inhaber eingeladen: Du siehst und entscheidest alles.
mail-invitation-co-owner = Du bist zu { $kennel } als Miteigentümer eingeladen: Du siehst und entscheidest, was die Hunde betrifft, die dir mitgehören.
mail-invitation-helper = Du bist zu { $kennel } als Helfer eingeladen: Du siehst und notierst die tägliche Arbeit.
mail-invitation-viewer = Du bist zu { $kennel } als Zuschauer eingeladen: Du siehst zu und notierst nichts.
mail-invitation-until = Die Einladung gilt bis { $day }, einmal und nur für diese Adresse. Weißt du nicht, worum es geht, tu nichts.
mail-invitation-join = Beitreten
mail-kennel-ends-subject = { $kennel } wird am { $day } gelöscht
mail-kennel-ends = Ein Inhaber von { $kennel } hat das Löschen verlangt. Am { $day } wird alles gelöscht, was der Zwinger hat, auch Bilder und Papiere, und ist nicht zurückzuholen.
mail-kennel-ends-until = Bis dahin geht alles weiter, und jeder Inhaber kann es zurücknehmen oder alles als Archiv mitnehmen.
mail-kennel-ends-soon-subject = Bald wird { $kennel } gelöscht: am { $day }
mail-kennel-ends-soon = Am { $day } wird alles gelöscht, was { $kennel } hat, auch Bilder und Papiere, und ist nicht zurückzuholen. Das ist die letzte Erinnerung.
mail-kennel-goes-on-subject = { $kennel } geht weiter
mail-kennel-goes-on = Ein Inhaber von { $kennel } hat das Löschen zurückgenommen. Nichts ging verloren.
mail-kennel-open = Die Seite des Zwingers öffnen
mail-webhook-off-subject = Ein Webhook wurde abgeschaltet
mail-webhook-off =
    Der Webhook von { $kennel }, der zu { $host } führt, ist seit { $since } bei jedem Versuch gescheitert und wurde abgeschaltet.

    Änderungen werden nicht mehr dorthin gesendet. Wenn der Empfänger wieder antwortet, schalte den Webhook ein
    (active: true). Was er verpasst hat, steht im Protokoll der Änderungen.
delivery-answered = antwortete { $status }
delivery-address = die Adresse { $why }
delivery-not-public = der Name führt zu keiner öffentlichen Adresse
delivery-too-slow = es kam nicht rechtzeitig eine Antwort
delivery-no-connection = es kam keine Verbindung zustande
delivery-broken-off = die Verbindung brach ab, oder die Antwort war nicht lesbar
ring-emergency = Notfall, { $kennel }: { $label }
ring-act = Heute zu tun, { $kennel }: { $label }
ring-note = Zu wissen, { $kennel }: { $label }
ring-tasks =
    { $tasks ->
        [one] Heute fällig
       *[other] { $tasks } Sachen heute fällig
    }, { $kennel }
ring-tasks-more = und { $more } weitere
ring-test-title = Probe, { $kennel }
ring-test = So klingelt es hier, wenn es Alarm gibt. Es ist nichts zu tun.
mail-ring =
    { $what }

    { $why }

    { $link }

    { $source }
    { $standing }

    Du hast gewählt, dass dir solche Alarme per Mail gesagt werden. Was wann klingelt, steht auf der Seite des Zwingers.
letter-subject =
    { $kennel }: { $due ->
        [one] eine Sache heute zu tun
       *[other] { $due } Sachen heute zu tun
    }{ $late ->
        [0] {""}
       *[other] , { $late } verspätet
    }
letter-head = { $kennel }, { $day }
letter-late-head = Verspätet
letter-due-head = Heute fällig
letter-coming-head = In den nächsten Tagen
letter-late =
    { $title } (seit { $days ->
        [one] einem Tag
       *[other] { $days } Tagen
    } fällig)
letter-coming = { $day }: { $title }
letter-open = Die Liste öffnen
letter-end = Damit keine solchen Briefe mehr kommen, öffne { $link }
letter-end-short = Keine solchen Briefe mehr
letter-choose = Ob und wann dieser Brief kommt, steht auf der Seite des Zwingers.
letter-end-asked = Soll kein täglicher Brief mehr kommen?
letter-ended = Es kommt kein täglicher Brief mehr. Eingeschaltet wird er wieder auf der Seite des Zwingers.
letter-no-link = Dieser Link beendet nichts: Er ist nicht ganz, oder von einem anderen Dienst.
letter-later = Das geht gerade nicht; versuche es in ein paar Minuten wieder.
fault-disordered-quiet = muss eine andere Zeit als begin sein
fault-disordered-duty-turn = muss nach begins_at liegen
fault-malformed-push-key = ist kein Schlüssel eines Geräts; sende, was sein Browser gibt
problem-conflict-nothing-rings = für dich klingelt nichts: wähle erst einen Weg und trage für Nachrichten ein Gerät ein

## Tabellen und ihre Einträge

table-people = Personen
table-kennels = Zwinger
table-changes = Änderungen
table-memberships = Mitgliedschaften
table-invitations = Einladungen
table-access-tokens = Zugriffstoken
table-rule-overrides = eigene Regelwerte
table-dogs = Hunde
table-duty-rosters = Dienstpläne
table-shares = Anteile
table-former-shares = Frühere Anteile
table-heats = Läufigkeiten
table-heat-readings = Messungen der Läufigkeit
table-matings = Deckungen
table-pregnancy-checks = Trächtigkeitsuntersuchungen
table-litters = Würfe
table-births = Geburten
table-whelping-lines = Geburtsprotokoll
table-dam-checks = Kontrollen der Hündin
table-pup-checks = Kontrollen der Welpen
table-feeds = Fütterungen
table-weights = Gewichte
table-temperatures = Temperaturen
table-health-plans = Gesundheitspläne
table-health-plan-versions = Fassungen von Gesundheitsplänen
table-health-events = Gesundheitsereignisse
table-buyers = Käufer
table-placements = Vergaben
table-payments = Zahlungen
table-litter-plans = Pläne des Wurfs
table-papers = Papiere
table-attachments = Bilder und Papiere
table-readiness-overrides = Ausnahmen von Abgaberegeln
table-readiness-rules = Abgaberegeln
table-follow-ups = Nachfragen
table-buyer-reports = Berichte neuer Besitzer
table-costs = Kosten
table-booklet-texts = Texte der Welpenmappe
table-booklet-links = Links zur Welpenmappe
table-places = Plätze
table-absences = Abwesenheiten
table-supplies = Vorräte
table-preparation-templates = Vorlagen der Vorbereitung
table-planner-settings = Einstellungen der Planung
table-own-tasks = eigene Aufgaben
table-task-marks = Vermerke an Aufgaben
table-alarms-seen = gesehene Alarme
table-calendar-links = Kalenderlinks
table-genotype-tests = Gentests
table-breed-tests = eigene Untersuchungen vor dem Decken
table-free-tests = freie Gentests
table-genomic-inbreedings = gemessene Inzucht
table-screening-results = Untersuchungsergebnisse
table-webhooks = Webhooks
table-another-table = eine andere Tabelle
row-absence = Abwesenheit
row-attachment = Bild oder Papier
row-birth = Geburt
row-buyer = Käufer
row-buyer-report = Bericht eines neuen Besitzers
row-cost = Kosten
row-dam-check = Kontrolle der Hündin
row-dog = Hund
row-duty-roster = Dienstplan
row-feed = Fütterung
row-follow-up = Nachfrage
row-genotype-test = Gentest
row-breed-test = eigene Untersuchung vor dem Decken
row-free-test = freier Gentest
row-genomic-inbreeding = gemessene Inzucht
row-screening-result = Untersuchungsergebnis
row-health-event = Gesundheitsereignis
row-health-plan = Gesundheitsplan
row-health-plan-version = Fassung eines Gesundheitsplans
row-heat = Läufigkeit
row-heat-reading = Messung der Läufigkeit
row-invitation = Einladung
row-litter = Wurf
row-litter-plan = Plan des Wurfs
row-mating = Deckung
row-member = Mitgliedschaft
row-own-task = eigene Aufgabe
row-paper = Papier
row-payment = Zahlung
row-place = Platz
row-placement = Vergabe
row-planner-settings = Einstellungen der Planung
row-pregnancy-check = Trächtigkeitsuntersuchung
row-preparation-template = Vorlage der Vorbereitung
row-pup-check = Kontrolle des Welpen
row-readiness-override = Ausnahme von einer Abgaberegel
row-rule-override = eigener Regelwert
row-share = Anteil
row-former-share = früherer Anteil
row-supply = Vorrat
row-temperature = Temperatur
row-webhook = Webhook
row-weight = Gewicht
row-whelping-line = Zeile des Geburtsprotokolls
row-task-mark = Vermerk an einer Aufgabe
row-alarm-seen = gesehener Alarm
row-kennel = Zwinger
row-access-token = Zugriffstoken
row-calendar-link = Kalenderlink
row-booklet-link = Link zur Welpenmappe
row-booklet-text = Texte der Welpenmappe
row-readiness-rules = Abgaberegeln
row-import = Einfuhr

## Wachstum und Fütterung

## Wurftermin, Trächtigkeit und Läufigkeit

## Verschriebenes

## Würfe

## Gesundheitspläne

## Gewichte in anderen Einheiten

## Aufgaben

## Vorbereitung und Einkauf

## Bereit zur Abgabe

## Berichte

## Begleitheft

## Was wiederkehrt: Rat, Zeiten, Spannen, Mengen

## Fehler in dem, was über Hündin und Welpen aufgeschrieben wird

## Die Nacht der Geburt

## Vor der Geburt

## Das Blatt an der Wurfkiste

## Die Hündin nach der Geburt

## Der neugeborene Welpe

## Gewichte, die rufen

## Bevor ein Welpe abgegeben wird

## Wie viele Welpen zu erwarten sind

## Warum ein Koeffizient eine Untergrenze ist

## Zeichen an der Hündin und am Welpen

## Drucke: was mehrere haben

print-figure = { $figure }
print-unknown = nicht bekannt
print-nothing = Nichts ist festgehalten.
print-born = geboren { $on }
print-sex = Geschlecht
print-sex-female = Hündin
print-sex-male = Rüde
print-collar = { $colours }
print-by-collar = Halsband { $collar }
print-day = Tag
print-what = Was
print-source = Quelle
print-remarks = Notizen
print-minutes = { $minutes } Minuten
print-hours = { $hours ->
    [one] { $hours } Stunde
   *[other] { $hours } Stunden
}
print-health-worming = Entwurmung
print-health-vaccination = Impfung
print-health-microchip = Mikrochip
print-health-examination = Untersuchung
print-health-test = Test
print-health-illness = Krankheit
print-health-treatment = Behandlung
print-health-other = Sonstiges
print-collar-red = rot
print-collar-blue = blau
print-collar-green = grün
print-collar-yellow = gelb
print-collar-white = weiß
print-collar-black = schwarz
print-collar-orange = orange
print-collar-purple = lila
print-collar-pink = rosa
print-collar-brown = braun
print-collar-grey = grau
print-collar-turquoise = türkis
print-line-sire = Vater
print-line-dam = Mutter
print-line-sire-sire = Vater des Vaters
print-line-sire-dam = Mutter des Vaters
print-line-dam-sire = Vater der Mutter
print-line-dam-dam = Mutter der Mutter
print-line-sire-sire-sire = Vater des Vaters des Vaters
print-line-sire-sire-dam = Mutter des Vaters des Vaters
print-line-sire-dam-sire = Vater der Mutter des Vaters
print-line-sire-dam-dam = Mutter der Mutter des Vaters
print-line-dam-sire-sire = Vater des Vaters der Mutter
print-line-dam-sire-dam = Mutter des Vaters der Mutter
print-line-dam-dam-sire = Vater der Mutter der Mutter
print-line-dam-dam-dam = Mutter der Mutter der Mutter

## Das eigene Bild des Zwingers

fault-too-long-logo = Das Bild ist kein SVG, das sich zeichnen lässt: Es hat gezeichnet mehr als { $most } Zeichen; vereinfache es.
fault-unsupported-logo-entities = Das Bild ist kein SVG, das sich zeichnen lässt: Es definiert Entities; schreib aus, wofür sie stehen.
fault-unsupported-logo-filters = Das Bild ist kein SVG, das sich zeichnen lässt: Es hat Filter, etwa Schatten oder Unschärfen; rechne sie ins Bild ein.
fault-unsupported-logo-picture = Das Bild ist kein SVG, das sich zeichnen lässt: Es enthält ein Bild, das kein PNG, JPEG, GIF oder WebP ist, oder eine eigene Zeichnung; setz deren Formen in das Logo selbst.
fault-too-many-logo-pixels = Das Bild ist kein SVG, das sich zeichnen lässt: Es enthält Bilder von zusammen mehr als 4.000.000 Bildpunkten; verkleinere sie.
fault-unsupported-logo-style-sheet = Das Bild ist kein SVG, das sich zeichnen lässt: Es nimmt Beschneidungen, Masken oder Muster aus einem Stylesheet; setz sie als Attribute.
fault-too-many-logo-shapes = Das Bild ist kein SVG, das sich zeichnen lässt: Es zeichnet mehr als { $most } Formen; vereinfache es.
fault-unsupported-logo-nested = Das Bild ist kein SVG, das sich zeichnen lässt: Es hat Elemente, die auf sich selbst verweisen, oder zu viele ineinander; vereinfache es.
fault-unsupported-logo-markers = Das Bild ist kein SVG, das sich zeichnen lässt: Es hat Marker auf seinen Linien; zeichne sie als Formen.

## Welpenmappe

print-booklet-nameless = Welpe ohne Namen
print-booklet-logo = Logo: { $kennel }
print-booklet-from = von { $kennel }
print-booklet-place = Platz für ein Bild
print-booklet-who = Wer es ist
print-booklet-name = Eingetragener Name
print-booklet-called = Rufname
print-booklet-breed = Rasse
print-booklet-colour = Farbe
print-booklet-markings = Abzeichen
print-booklet-born = Geboren
print-booklet-litter = Wurf
print-booklet-number = Nr. { $ordinal } von { $size } Geborenen
print-booklet-number-named = Nr. { $ordinal } von { $size } Geborenen, { $name }
print-booklet-chip = Chipnummer
print-booklet-registers = Zuchtbücher
print-booklet-not-recorded = Nicht festgehalten: { $what }.
print-booklet-parents = Eltern und Ahnentafel
print-booklet-inbreeding = Inzucht
print-booklet-at-least = mindestens { $share } %, über { $ancestors ->
    [one] einen bekannten Ahnen
   *[other] { $ancestors } bekannte Ahnen
}. { $why }
print-booklet-pedigree-alt = Ahnentafel. { $named }.
print-booklet-growth = Geburt und Wachstum
print-booklet-growth-title = Wachstum
print-booklet-birth-weight = Geburtsgewicht
print-booklet-no-weights = Keine Gewichte sind festgehalten.
print-booklet-weights = { $weights ->
    [one] 1 Gewicht
   *[other] { $weights } Gewichte
} vom { $from } bis zum { $to }; zuletzt { $last }.
print-booklet-growth-alt = Wachstum: { $says }
print-booklet-album = Album
print-booklet-photo = Foto von { $name }
print-booklet-photo-aged = Foto von { $name }, { $age }
print-booklet-age-days =
    { $days ->
        [0] am Tag der Geburt
        [one] { $days } Tag alt
       *[other] { $days } Tage alt
    }
print-booklet-age-weeks =
    { $weeks ->
        [one] { $weeks } Woche alt
       *[other] { $weeks } Wochen alt
    }
print-booklet-given = Gegeben und gefunden
print-booklet-product = Mittel
print-booklet-batch = Charge
print-booklet-by = Von
print-booklet-expires = { $batch }, haltbar bis { $on }
print-booklet-tests = Gentests
print-booklet-tested = Was untersucht wurde
print-booklet-result = Ergebnis
print-booklet-laboratory = Labor
print-booklet-due = Was als Nächstes fällig ist
print-booklet-not-before = Frühestens
print-booklet-best-on = Am besten
print-booklet-at-the-latest = Spätestens
print-booklet-optional = { $name } (nur wo verlangt)
print-booklet-feeding = Fütterung
print-booklet-care = Pflege
print-booklet-contact = So erreichst du uns
print-booklet-handed-over = Übergabe
print-booklet-were-handed-over = Der Welpe und diese Mappe wurden übergeben.
print-booklet-sign-place = Ort und Tag
print-booklet-sign-kennel = Für den Zwinger
print-booklet-sign-owner = Der neue Besitzer

## Etiketten

print-labels-title = Etiketten: { $litter }
print-labels-how = Zum Ausschneiden: eines für die Mappe, zwei für Halsbänder. Der Code führt zum Eintrag des Welpen, für alle, die angemeldet sind.
print-labels-alt = Etiketten von { $pup } mit einem Code, der zu { $address } führt
print-labels-chip = Chip: { $chip }

## Geburtsprotokoll

print-sheet-title = Geburtsprotokoll: { $litter }
print-sheet-footer = { $kennel } · { $litter } · gedruckt { $at }
print-sheet-window = { $likely } ({ $first } bis { $last })
print-sheet-counted = { $least } bis { $most } (mindestens { $counted } gezählt)
print-sheet-uncounted = { $least } bis { $most } (nicht gezählt)
print-sheet-dam = Hündin
print-sheet-sire = Rüde
print-sheet-due = Wurftermin
print-sheet-expected = Erwartete Welpen
print-sheet-vet = Tierarzt, Tag und Nacht
print-sheet-pups-out = Geborene Welpen
print-sheet-out = { $pups } ({ $alive } lebend, { $stillborn } tot); gesehene Nachgeburten: { $placentas }
print-sheet-pups = Welpen
print-sheet-number = Nr.
print-sheet-time = Zeit
print-sheet-sex = Geschl.
print-sheet-collar = Halsband
print-sheet-looks = Farbe, Abzeichen
print-sheet-weight-g = Gewicht (g)
print-sheet-weight-kg = Gewicht (kg)
print-sheet-weight-lb-oz = Gewicht (lb, oz)
print-sheet-came = Lage
print-sheet-placenta = Nachgeburt
print-sheet-placenta-seen = gesehen
print-sheet-placenta-not-seen = nicht gesehen
print-sheet-score = Punkte
print-sheet-when-to-call = Wann der Tierarzt zu rufen ist
print-sheet-after = Nach
print-sheet-at-once = sofort
print-sheet-log = Protokoll: Anzeichen, Wehen, Fruchtwasser, Ausfluss, was gegeben wurde
print-sheet-score-of = Punkte eines Neugeborenen: die fünf Zeichen zusammenzählen
print-sheet-sign = Zeichen
print-sheet-under = unter { $figure }
print-sheet-from-to = { $from } bis { $to }
print-sheet-over = über { $figure }
print-sheet-heart = Herzschläge je Minute
print-sheet-breath = Atemzüge je Minute
print-sheet-pinched = Kniff in die Pfote
print-sheet-pinched-0 = nichts
print-sheet-pinched-1 = verzieht das Gesicht
print-sheet-pinched-2 = zieht sie weg
print-sheet-moves = Bewegung
print-sheet-moves-0 = schlaff
print-sheet-moves-1 = beugt sich etwas
print-sheet-moves-2 = lebhaft
print-sheet-gums = Zahnfleisch
print-sheet-gums-0 = blau
print-sheet-gums-1 = blass
print-sheet-gums-2 = rosa
print-sheet-score-means = Ab { $good } Punkten: keine Not; unter { $moderate }: schwere Not, ruf an. { $source }

## Wachstum als Bild

print-chart-of = Wachstum: { $pup }
print-chart-litter = { $pups ->
    [one] Gewichte von einem Welpen nach Lebenstag.
   *[other] Gewichte von { $pups } Welpen nach Lebenstag.
}
print-chart-pup = { $pup }: { $weight } am { $on }.
print-chart-not-weighed = { $pup }: noch nicht gewogen.
print-chart-empty = Noch keine Gewichte
print-chart-in-grams = Gewicht in Gramm (Punkte: gewogen; gestrichelt: erwartet)
print-chart-in-kilograms = Gewicht in Kilogramm (Punkte: gewogen; gestrichelt: erwartet)
print-chart-in-ounces = Gewicht in Unzen (Punkte: gewogen; gestrichelt: erwartet)
print-chart-in-pounds = Gewicht in Pfund (lb) (Punkte: gewogen; gestrichelt: erwartet)
print-chart-days = Alter in Tagen
print-chart-twice = doppeltes Geburtsgewicht
print-chart-normal-from = übliches Geburtsgewicht ab
print-chart-ceiling = veröffentlichte Obergrenze
print-chart-share = 19 von 20 Wägungen

## Ahnentafel als Bild

print-tree-title = Ahnentafel: { $dog }
print-tree-described = { $generations } Generationen; auf { $repeated } der Plätze steht ein mehrfacher Ahne. Inzucht mindestens { $share } %. { $why }
print-tree-known = Inzucht mindestens { $share } %: Unbekannte gelten als unverwandt · bekannt: { $equivalents } Generationsäquivalente, { $full ->
    [one] 1 volle Generation
   *[other] { $full } volle Generationen
}
print-tree-signs = ♂ eckig: Vater · ♀ rund: Mutter · kein Ahne mehrfach · F: Inzucht mindestens, über die bekannten Generationen (g) · gestrichelt: nicht bekannt
print-tree-signs-again = ♂ eckig: Vater · ♀ rund: Mutter · Zahl und dicker Rahmen: derselbe Ahne mehrfach · F: Inzucht mindestens, über die bekannten Generationen (g) · gestrichelt: nicht bekannt
print-tree-no-dam = ♀ Mutter nicht bekannt
print-tree-no-sire = ♂ Vater nicht bekannt
print-tree-nameless = ein Hund ohne Namen
print-tree-coefficient = F ≥ { $share } % ({ $generations } g)

## Kalender

print-feed-whelping = Geburt
print-feed-go-home = Abgabe
print-feed-health = Gesundheit
print-feed-heats = Läufigkeiten
print-feed-chores = Arbeiten
print-feed-absences = Abwesenheiten
print-feed-heat = { $dam }: Läufigkeit wahrscheinlich
print-feed-heat-window = Wahrscheinlich am { $likely }; zu { $share } % vom { $from } bis zum { $to }.
print-feed-born = { $litter }: geboren
print-feed-due = { $litter }: Wurftermin
print-feed-due-window = Wahrscheinlich am { $likely }; zu { $share } % vom { $from } bis zum { $to }, wenn es einen Wurf gibt ({ $chance } %).
print-feed-may-go = { $litter }: Abgabe der Welpen möglich
print-feed-go-window = Ab dem { $from }; gewöhnlich bis zum { $to }.
print-feed-go-likely = Ab dem { $from }, nach dem wahrscheinlichen Tag der Geburt; höchstens bis zum { $to }.
print-feed-put-off = Verschoben: { $why }. Quelle: { $source }
print-feed-source = Quelle: { $source }
print-feed-chores-more = { $first } und { $more ->
    [one] eine weitere
   *[other] { $more } weitere
}
print-feed-away-days = { $from } bis { $to }
print-feed-away = { $person } abwesend
print-feed-away-until = { $person } abwesend bis { $until }
print-feed-away-last = { $person } den letzten Tag abwesend

## Einträge: was an einem Wert nicht stimmt

## Einheiten der Regeln

## Tage

## Die Uhr eines Geräts

## Was bleibt, wenn die Daten eines Käufers gelöscht werden

## Dateien, die eingelesen werden: Zellen

## Dateien, die eingelesen werden: Spalten

## Dateien, die eingelesen werden: Zeilen

## Dateien, die eingelesen werden: Arbeitsmappen

## Dateien, die eingelesen werden: Hunde und ihre Eltern

## Archive

## Regeln: wofür jede da ist

## Drucke: was mehrere haben

## Das eigene Bild des Zwingers

fault-unreadable-logo = Das Bild ist kein SVG, das sich zeichnen lässt

## Welpenmappe

## Etiketten

## Geburtsprotokoll

## Wachstum als Bild

## Ahnentafel als Bild

## Kalender

## Probleme: Überschriften

## Probleme: was diesmal nicht geht

## Probleme: Anmeldungen

## Probleme: was eine Rolle nicht erlaubt

## Probleme: schon vergeben oder in Gebrauch

## Wiederhergestellte Einträge, Zeilen einer Sendung, Zeilen eines Archivs

## Der Pfad

## Inhalte und Abfragen

## Listen

## Sendungen und Dateien

## Was ein Inhalt nennt und nicht da ist

## Was gegen andere Einträge geht

## Fragen

## Anmeldungen und Adressen

## Mail und Zustellungen

## Tabellen und ihre Einträge
problem-missing-precondition = Sende If-Match mit dem ETag der Fassung, die du gesehen hast.
problem-fault-table = Die Tabelle ließ sich nicht schreiben.
fault-malformed-idempotency-key = muss aus 1 bis { $most } sichtbaren ASCII-Zeichen bestehen; eine UUID ist gut
problem-conflict-shown-once = Das ist schon geschehen, und was dabei entstand, wurde einmal gezeigt: Nimm das, oder entferne es und mach ein neues mit einem neuen Idempotency-Key.

## Bilder und Papiere

fault-only-together-attachment-row = gib eines von dog_id, litter_id und placement_id an, nicht zwei
fault-missing-contract-placement = fehlt; ein Vertrag hängt an einer Vergabe
fault-not-together-contract-shown = passt nicht zu einem Vertrag: Die Welpenmappe zeigt keinen
fault-fixed-upload = ändert sich nicht; schick die neue Datei als weiteren Anhang
fault-not-found-upload = nennt keine deiner laufenden Übertragungen; schick die Datei noch einmal
fault-not-now-upload = nennt eine Übertragung, die noch nicht ganz da ist; schick zuerst den Rest
fault-wrong-kind-photo = ist für Bilder, und die Datei ist ein PDF; wähl eine andere Art
fault-differs-file-type = die Datei heißt { $said } und ist { $is }; schick sie als das, was sie ist
fault-unsupported-file = die Datei ist kein JPEG, PNG, WebP oder PDF; speichere sie als eines davon
fault-unsupported-file-heic = die Datei ist HEIC oder AVIF; speichere sie als JPEG (am iPhone: Einstellungen, Kamera, Formate, Maximale Kompatibilität)
fault-unsupported-file-markup = die Datei ist SVG, HTML oder ein anderer Text, der Programme enthalten kann; speichere sie als PNG, JPEG oder PDF
fault-unsupported-file-slow = das Bild braucht zu lange zum Entpacken; speichere es neu als JPEG
fault-unreadable-picture = das Bild ist beschädigt oder nicht ganz da; öffne es und speichere es neu
fault-unreadable-exif = was die Kamera in das Bild schrieb (Exif), ist beschädigt; öffne es und speichere es neu
fault-too-many-scans = das Bild baut sich in { $count } Durchgängen auf, und { $most } sind das Meiste; speichere es neu als JPEG
fault-too-many-pixels = das Bild hat { $width } x { $height } Bildpunkte, und { $most } Millionen sind das Meiste; mach es kleiner
fault-unreadable-pdf = das PDF lässt sich nicht öffnen, hat keine Seite oder braucht ein Passwort; druck es in ein neues PDF
fault-unreadable-pdf-end = das PDF endet zu früh; schick es ganz
fault-unsupported-pdf-archive = das PDF ist zugleich ein Archiv; druck es in ein neues PDF
fault-unsupported-pdf-active = das PDF enthält Programme oder andere Dateien; druck es in ein neues PDF
fault-malformed-upload-header = muss sein, wie tus 1.0 es will: eine ganze Zahl von Bytes, oder Paare aus Schlüssel und Base64
fault-not-found-archive-picture = steht in attachments.csv und ist nicht im Archiv; das Archiv ist nicht ganz
fault-differs-archive-picture = ist nicht, was attachments.csv davon sagt; das Archiv wurde geändert oder ist beschädigt
fault-limit-archive-files = die Bilder und Papiere brauchen { $taken } MB, und ein Zwinger darf { $most } MB haben
problem-title-wrong-protocol = Hier gilt ein anderes Protokoll
problem-wrong-protocol = Schick Tus-Resumable: { $version }; Übertragungen sprechen tus 1.0.
problem-too-large-file = Ein Bild oder Papier darf { $most } MB haben und nicht mehr, als angekündigt war; mach es kleiner.
problem-later-files = Die Ablage der Bilder und Papiere ist nicht erreichbar; versuch es in ein paar Sekunden noch einmal.
problem-conflict-files-full = Die Bilder und Papiere des Zwingers brauchen { $taken } von { $most } MB; lösch welche, oder lass von dem, der den Dienst betreibt, mehr erlauben.
problem-conflict-uploads = { $most } Übertragungen laufen; bring sie zu Ende oder gib sie auf.
problem-conflict-upload-offset = Von der Übertragung sind { $offset } Bytes da; mach dort weiter.
problem-conflict-upload-moved = Inzwischen kam ein anderes Stück an diese Stelle; frag, wie weit die Übertragung ist, und mach dort weiter.
problem-conflict-upload-used = Aus der Übertragung ist schon ein Anhang geworden; lies den.
problem-conflict-file-gone = Die Datei ist endgültig entfernt; schick sie noch einmal.

## Wann eine Hündin wieder gedeckt werden darf, und ihre Wochen nach der Geburt

breed-again-yes = Nach dem, was aufgeschrieben ist, spricht nichts gegen eine Deckung in ihrer nächsten Läufigkeit, wahrscheinlich um den { $likely_on }.
breed-again-yes-now = Nach dem, was aufgeschrieben ist, spricht nichts gegen eine Deckung; keine Läufigkeit von ihr lässt sich vorhersagen.
breed-again-unknown = Die Aufzeichnungen entscheiden es nicht: Sieh unter den Gründen, was nicht bekannt ist.
breed-again-ask-vet = Frag den Tierarzt, bevor sie wieder gedeckt wird: Sieh die Gründe.
breed-again-not-yet = Nicht in ihrer nächsten Läufigkeit: Bei einer Deckung ab dem { $from } spricht nichts mehr dagegen, was einen Tag hat.
breed-again-not-yet-open = Noch nicht: Etwas, das keinen Tag hat, spricht dagegen, sieh die Gründe.
breed-again-no = Nach dem, was aufgeschrieben ist, darf sie nicht wieder gedeckt werden: Sieh die Gründe.
breed-again-died = Sie starb am { $on }.
breed-again-not-here = Sie ist nicht im Zwinger.
breed-again-carries = Sie trägt einen Wurf, oder einer wird von ihr erwartet: Frag wieder, wenn er abgesetzt ist.
breed-again-nurses = Sie säugt: Welpen sind meist bis zum { $weaned_by } abgesetzt.
breed-again-womb = Die Schleimhaut ihrer Gebärmutter ist bis zum { $healed_on } wieder heil.
breed-again-caesareans = { $count } ihrer Würfe kamen durch Kaiserschnitt: Frag den Tierarzt, ob ihre Gebärmutter noch einen tragen darf.
breed-again-caesarean-last = Ihr letzter Wurf kam durch Kaiserschnitt: Frag den Tierarzt, der ihn gemacht hat, ob und wann ihre Gebärmutter noch einen tragen darf.
breed-again-low-calcium = Nach ihrem Wurf vom { $whelped_on } zeigte sie schwere Zeichen von Kalziummangel: Er kann wiederkommen, frag den Tierarzt, bevor sie wieder gedeckt wird.
breed-again-calls = Etwas an ihr ruft jetzt: { $what }
breed-again-weight-unknown = Nichts sagt, ob sie ihr übliches Gewicht wieder hat: Wieg sie.
breed-again-weight-low = Sie ist { $percent } % unter ihrem üblichen Gewicht; bis { $limit_percent } % gilt sie als erholt.
lochia-green = In den ersten Stunden grün bis schwarz, dann rotbraun: Ist er später als { $hours } Stunden nach dem letzten Welpen noch grün, ruf an.
lochia-red-brown = Rotbraun und von Woche zu Woche weniger, ohne Geruch; meist endet er bis zum { $ends_on }. Übel riechend, grün oder hellrot: Ruf den Tierarzt.
lochia-ending = Meist ist er zu Ende; ein wenig ohne Geruch kann bis zum { $ends_on } kommen. Mehr, übel riechend oder hellrot: Ruf den Tierarzt.
lochia-over = Üblich ist keiner mehr: Lass jeden Ausfluss ansehen. Die Schleimhaut ihrer Gebärmutter ist bis zum { $healed_on } wieder heil.
calcium-risk-before = nach ihrem Wurf vom { $whelped_on } zeigte sie schwere Zeichen von Kalziummangel
calcium-risk-small = sie ist klein ({ $weight_kg } kg; höchstens { $limit_kg } kg)
calcium-risk-large = { $pups } Welpen saugen, wo { $usual_pups } für ihre Größe üblich sind
calcium-risk-first = es ist ihr erster Wurf
calcium-risk-advice = Achte auf Unruhe, Hecheln, Reiben im Gesicht, steife Schritte und Zittern: Daraus wird in Stunden ein Notfall, ruf also beim ersten davon den Tierarzt. Gib Kalzium nur, wie dein Tierarzt es sagt.
dam-weight-usual = { $percent } % neben ihrem üblichen Gewicht.
dam-weight-too-low = { $percent } % neben ihrem üblichen Gewicht, { $limit_percent } % oder mehr darunter: Füttere sie mehr und öfter und frag den Tierarzt.
