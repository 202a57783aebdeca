//! What stands at the head of the document: where the service is, and what its parts are for.

use serde_json::{Map, Value, json};

/// The parts, in the order in which a kennel meets them: the day, the litter, the pups' homes, what a
/// season rests on, and last what is set up once.
const TAGS: [(&str, &str); 33] = [
    (
        "today",
        "One call for the wall screen: every litter, every last weight, what is due, all alarms.",
    ),
    (
        "alarms",
        "All that calls for a person's attention, gravest first, with the source of its advice.",
    ),
    ("tasks", "What is to be done and when: chores of the house, of a litter, and of one's own."),
    (
        "whelping",
        "The night: the log, where it stands, how the dam does, and the sheet for the wall.",
    ),
    ("litters", "Litters, expected or born, their births, and when they are due."),
    ("weights", "Weights, one by one or many at once from a phone or scale that was offline."),
    ("growth", "How pups grow: gain, rank, what is to be expected, and the charts."),
    ("temperatures", "Temperatures of dams and pups."),
    ("feeding", "Energy and volumes by stage, and what a pup was fed by hand."),
    ("pup checks", "What was seen at a look at a pup."),
    ("health", "Plans of worming and vaccination, what was done, what is due; microchips."),
    ("preparation", "What to have ready for a litter by when, and what to buy."),
    ("calendar", "Dates as a feed that other calendars subscribe to."),
    ("planner", "The months ahead: heats, litters, places, absences, and where they clash."),
    ("heats", "Heats, readings, and when to mate."),
    ("matings", "Matings, planned or done, and pregnancy checks."),
    ("planning", "Which matings to make: for the whole kennel, by the rules of a registry."),
    ("pedigree", "Ancestors, inbreeding, trial matings, and pedigrees in and out."),
    ("genetics", "Tests of genes, and what a mating would pass on."),
    ("dogs", "Dogs of the kennel, ancestors elsewhere and pups alike; who owns which share."),
    ("buyers", "Who waits for a pup, and what is kept of them."),
    ("placements", "Which pup goes to whom: promises, payments, hand-over, and how it went on."),
    ("go-home", "Whether a pup may go, and the booklet and papers that go with it."),
    ("attachments", "Pictures and papers of dogs, litters and placements."),
    ("money", "What was spent, on what and when."),
    ("reports", "A litter and a year, told in figures."),
    ("changes", "The log of all writes: what since when, live, and back again."),
    ("rules", "Thresholds that advice rests on, with their sources, and a kennel's own."),
    ("kennels", "The kennel, who belongs to it, and tokens for its front end."),
    ("people", "Logins: signing up, sessions, second factors, forgotten passwords."),
    ("webhooks", "Addresses that are told of each change."),
    ("archive", "The whole kennel as a file, out and in; files of spreadsheets, in."),
    ("machine room", "Health, figures, and this document."),
];

/// The document with its head, in the order in which people read it.
pub(super) fn complete(mut document: Value) -> Value {
    document["servers"] = json!([
        { "url": "/", "description": "The service that handed out this document." },
        { "url": "http://127.0.0.1:8080", "description": "A service on this machine, as it starts by itself." },
    ]);
    let tag =
        |(name, description): &(&str, &str)| json!({ "name": name, "description": description });
    document["tags"] = TAGS.iter().map(tag).collect();
    let order =
        ["openapi", "info", "servers", "security", "tags", "paths", "webhooks", "components"];
    let mut ordered = Map::new();
    for name in order {
        ordered.insert(name.to_owned(), document[name].take());
    }
    ordered.into()
}
