use super::*;
use crate::import::{
    ColumnMap, ImportHow, LineFault, LineFaultKind as Kind,
    table::{MOST_COLUMNS, MOST_LINE_BYTES},
};
use proptest::prelude::*;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

/// With one column mapped to a field.
fn mapped(field: &str, column: &str) -> ImportHow {
    let columns = ColumnMap::new([(field.to_owned(), column.to_owned())]);
    ImportHow { columns, ..ImportHow::default() }
}

fn birth_map() -> ImportHow {
    mapped("born_on", "birth")
}

fn taken(text: impl AsRef<[u8]>) -> Result<ParsedPedigree, Vec<LineFault>> {
    parse(text.as_ref(), &ImportHow::default(), today())
}

/// Kind, place and ids of every fault.
fn faults(text: impl AsRef<[u8]>) -> Vec<(Kind, String, Vec<String>)> {
    let faults = taken(text).expect_err("must be refused");
    faults.into_iter().map(|fault| (fault.kind, fault.pointer, fault.ids)).collect()
}

fn fault(kind: Kind, line: u64, ids: &[&str]) -> (Kind, String, Vec<String>) {
    (kind, format!("#line/{line}"), ids.iter().map(|id| (*id).to_owned()).collect())
}

/// A value that is none, in a column.
fn value(line: u64, column: &str, ids: &[&str]) -> (Kind, String, Vec<String>) {
    let (kind, line, ids) = fault(Kind::Value, line, ids);
    (kind, format!("{line}/{column}"), ids)
}

#[test]
fn reads_what_exports_of_other_programs_hold() {
    let text = "\u{feff}ID,Name,SEX,Birth,Sire,Dam,Chip Number,Registrations\r\n\
                3,\"Juno, of \"\"Larkfell\"\"\",f,2020-05-17,1,2,276 098 100 123 456,Stud book: 7; 12/88\r\n\
                \r\n\
                1,Rex,Male,2015,,,,\r\n";
    let file = parse(text.as_bytes(), &birth_map(), today()).unwrap();
    let ids: Vec<&str> = file.dogs.iter().map(|dog| &*dog.imported_id).collect();
    assert_eq!(ids.len(), 3);
    let juno = file.dogs.last().unwrap();
    assert_eq!(juno.name.as_deref(), Some("Juno, of \"Larkfell\""));
    assert_eq!((juno.line, juno.sex), (Some(2), Some(Sex::Female)));
    assert_eq!(juno.chip_number.as_deref(), Some("276098100123456"));
    assert_eq!(&*juno.registrations[0].registry, "Stud book");
    assert_eq!(&*juno.registrations[1].number, "12/88");
    let alone = file.dogs.iter().find(|dog| &*dog.imported_id == "2").unwrap();
    assert_eq!((alone.line, alone.sex), (None, Some(Sex::Female)));
    assert_eq!(alone.lives_here, Some(false));
    let rex = file.dogs.iter().find(|dog| &*dog.imported_id == "1").unwrap();
    assert_eq!((rex.line, rex.lives_here), (Some(4), None));
    assert!(file.columns.contains(&PedigreeColumn::BornOn));
}

/// The files and their expected faults: `tests/reference/coi/README.md`.
#[test]
fn refuses_the_faulty_reference_files() {
    let file = |name: &str| match name {
        "cycle_own_ancestor.csv" => {
            include_str!("../../../../tests/reference/coi/errors/cycle_own_ancestor.csv")
        }
        "sire_is_female.csv" => {
            include_str!("../../../../tests/reference/coi/errors/sire_is_female.csv")
        }
        "same_sire_and_dam.csv" => {
            include_str!("../../../../tests/reference/coi/errors/same_sire_and_dam.csv")
        }
        other => panic!("no file {other}"),
    };
    let expected: serde_json::Value =
        serde_json::from_str(include_str!("../../../../tests/reference/coi/errors/expected.json"))
            .unwrap();
    let expected = expected.as_object().unwrap();
    assert_eq!(expected.len(), 3);
    for (name, fault) in expected {
        let found = parse(file(name).as_bytes(), &birth_map(), today()).unwrap_err();
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert_eq!(serde_json::to_value(found[0].kind).unwrap(), fault["kind"], "{name}");
        assert_eq!(serde_json::to_value(&found[0].ids).unwrap(), fault["offending_ids"], "{name}");
    }
}

#[test]
fn reports_every_fault_with_its_line() {
    let text = "id,sire,dam,sex,born_on\n\
                a,,,M,2000\n\
                b,,,F,2000\n\
                a,,,M,2001\n\
                ,a,b,F,2003\n\
                c,b,a,M,2003\n\
                d,c,c,F,2004\n\
                e,a,b,x,2004-13\n\
                f,a,b\n\
                g,a,b,F,2000\n\
                h,x,b,F,2004\n\
                i,a,x,F,2027\n\
                j,j,b,M,2004\n";
    let found = faults(text);
    let expected = [
        fault(Kind::DuplicateId, 4, &["a"]),
        fault(Kind::MissingId, 5, &[]),
        fault(Kind::Sex, 6, &["b"]),
        fault(Kind::Sex, 6, &["a"]),
        fault(Kind::SameParent, 7, &["d"]),
        value(8, "sex", &["e"]),
        value(8, "born_on", &["e"]),
        fault(Kind::Ragged, 9, &[]),
        fault(Kind::ParentNotOlder, 10, &["g", "a"]),
        fault(Kind::ParentNotOlder, 10, &["g", "b"]),
        value(12, "born_on", &["i"]),
        fault(Kind::BothRoles, 12, &["x"]),
        fault(Kind::Cycle, 13, &["j"]),
    ];
    for fault in &expected {
        assert!(found.contains(fault), "{fault:?} in {found:#?}");
    }
    let lines: Vec<&String> = found.iter().map(|(_, pointer, _)| pointer).collect();
    assert_eq!(lines.iter().filter(|line| **line == "#line/11").count(), 0, "{found:#?}");
}

#[test]
fn counts_lines_through_blank_lines_and_quoted_line_breaks() {
    let text = "id,note,sex\r\n\r\na,\"two\r\nlines\",F\r\n\r\n\r\nb,,?\r\n,,\r\nc,,?";
    assert_eq!(faults(text), [value(7, "sex", &["b"]), value(9, "sex", &["c"])]);
}

#[test]
fn names_the_loop_and_its_lines() {
    let found = taken("id,sire,dam\nx,,\nc,e,b\nd,c,b\ne,a,d\n").unwrap_err();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].pointer, "#line/3");
    for part in ["\"c\" (line 3)", "\"d\" (line 4)", "\"e\" (line 5)"] {
        assert!(found[0].detail.contains(part), "{}", found[0].detail);
    }
}

/// A file without line ends is one row; it must not cost more than a look.
#[test]
fn a_row_has_so_many_columns_and_no_more() {
    let with = |columns: usize| {
        let others: Vec<String> = (1..columns).map(|at| format!("c{at}")).collect();
        let text = format!("id,{}\na{}\n", others.join(","), ",".repeat(columns - 1));
        let ignore = mapped("ignore", &others.join(","));
        parse(text.as_bytes(), &ignore, today())
    };
    assert_eq!(MOST_COLUMNS, 200);
    assert!(with(199).is_ok());
    assert!(with(200).is_ok());
    let found = with(201).unwrap_err();
    assert_eq!((found.len(), found[0].kind), (1, Kind::Column));
    assert!(found[0].detail.contains("has 201 columns where 200 are the most"));
}

#[test]
fn a_line_is_so_long_and_no_longer() {
    let ignore = mapped("ignore", "note");
    assert_eq!(MOST_LINE_BYTES, 100_000);
    let with = |bytes: usize| {
        let text = format!("id,note\nA,{}\n", "x".repeat(bytes - 2));
        parse(text.as_bytes(), &ignore, today())
    };
    assert!(with(99_999).is_ok());
    assert!(with(100_000).is_ok());
    let found = with(100_001).unwrap_err();
    assert_eq!((found.len(), found[0].kind), (1, Kind::Encoding));
    assert!(found[0].detail.contains("a line of more than 100000 bytes"));
}

#[test]
fn refuses_columns_it_does_not_know() {
    let found = taken("id,sire,dam,hatched\na,,,2000\n").unwrap_err();
    assert_eq!((found.len(), found[0].kind), (1, Kind::Column));
    assert!(found[0].detail.contains("unknown column \"hatched\"; known are id, name"));
    let found = taken("id,brith date\na,2000\n").unwrap_err();
    assert!(found[0].detail.contains("\"brith date\"; is born_on meant?"), "{}", found[0].detail);
    assert!(parse(b"id,hatched\na,2000\n", &mapped("born_on", "hatched"), today()).is_ok());
    let ignore = mapped("ignore", "Owner,eyes");
    assert!(parse(b"id,owner,Eyes\na,x,y\n", &ignore, today()).is_ok());
    let columns = ColumnMap::new([
        ("height".to_owned(), "id".to_owned()),
        ("sire".to_owned(), "father".to_owned()),
    ]);
    let wrong = ImportHow { columns, ..ImportHow::default() };
    let found = parse(b"id\na\n", &wrong, today()).unwrap_err();
    let places: Vec<&str> = found.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(places, ["#query/height", "#query/sire"]);
    assert_eq!(faults("id,ID\na,b\n")[0].0, Kind::Column);
    assert_eq!(faults("breed,sex\na,F\n")[0].0, Kind::MissingColumn);
    let own = mapped("id", "number");
    let file = parse(b"id,number\nx,7\n", &own, today()).unwrap();
    assert_eq!(&*file.dogs[0].imported_id, "7", "a mapped column comes before the plain name");
}

#[test]
fn refuses_what_is_not_text() {
    assert_eq!(faults(""), [fault(Kind::Empty, 1, &[])]);
    assert_eq!(faults("\n\r\n"), [fault(Kind::Empty, 1, &[])]);
    assert_eq!(faults("id,sire,dam\n"), [fault(Kind::Empty, 1, &[])]);
    assert_eq!(faults(b"id,name\na,J\xfcno\nb,x\n"), [fault(Kind::Encoding, 2, &[])]);
    assert_eq!(faults(b"id,name\na,x\nb,\0\n"), [fault(Kind::Encoding, 3, &[])]);
    assert_eq!(faults(b"\xff\xfei\0d\0\n\0")[0].0, Kind::Encoding);
}

#[test]
fn gives_back_what_it_took() {
    let text = "id,name,call_name,sex,breed,colour,markings,born_on,died_on,sire,dam,chip_number,\
                registrations,adult_weight_g,residence,for_breeding,note\n\
                1,,,male,,,,2015,2024-01-31,,,,,,elsewhere,false,\n\
                2,\"A \"\"b\"\", c\",Bee,female,Mix,black,star,2016-03,,,,276098100123456,\
                Stud book: 7; Club: 9,28000,here,true,\"two\nlines\"\n\
                3,,,,,,,2020-05-17,,1,2,,,,,,\n";
    let file = taken(text).unwrap();
    assert_eq!(String::from_utf8(export(&file.dogs).unwrap()).unwrap(), text);
}

#[test]
fn reads_a_hundred_thousand_rows_backwards() {
    let mut text = String::from("id,sire,dam\n");
    for id in (2..100_000).rev() {
        text += &format!("{id},{},{}\n", (id - 1) / 2 * 2, (id - 2) / 2 * 2 + 1);
    }
    let file = taken(&text);
    // Even ids are sires and odd ids dams, so nobody is in both roles.
    assert_eq!(file.map(|file| file.dogs.len()).map_err(|f| f[0].clone()), Ok(100_000));
}

proptest! {
    #[test]
    fn never_panics_and_names_lines_of_the_file(bytes in prop::collection::vec(prop::sample::select(
        b"id,sire\ndam\"\r\0F\xff2020-05;:".to_vec()), 0..200)) {
        let mut text = b"id,sire,dam,sex\n".to_vec();
        text.extend(&bytes);
        for text in [text, bytes] {
            let ends = text.iter().filter(|byte| matches!(byte, b'\n' | b'\r')).count();
            for fault in taken(&text).err().unwrap_or_default() {
                prop_assert!(fault.line() <= ends as u64 + 1, "{:?}", fault);
                prop_assert!(!fault.detail.is_empty() && fault.pointer.starts_with('#'), "{:?}", fault);
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = taken(&bytes);
    }

    #[test]
    fn round_trips_any_words(names in prop::collection::vec("[ -~\u{e4}\"]{0,20}", 1..20)) {
        let dogs: Vec<ImportedDog> = names.iter().enumerate().map(|(at, name)| ImportedDog {
            line: None,
            imported_id: format!("d{at}").into(),
            name: Some(name.trim()).filter(|n| !n.is_empty()).map(Into::into),
            ..ImportedDog::default()
        }).collect();
        let mut back = taken(export(&dogs).unwrap()).unwrap().dogs;
        back.iter_mut().for_each(|dog| dog.line = None);
        back.sort_by_key(|dog| dog.imported_id[1..].parse::<u32>().unwrap());
        prop_assert_eq!(back, dogs);
    }
}
