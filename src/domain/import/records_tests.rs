//! Rows of files as the bodies that they make.

use super::*;
use crate::import::{
    ColumnMap, buyers, chips, columns::check_names, health_events, temperatures, weights,
};

fn zone() -> Tz {
    chrono_tz::Europe::Berlin
}

fn how(order: Option<DateOrder>) -> ImportHow {
    ImportHow { date_order: order, ..ImportHow::default() }
}

/// Place and detail of each fault.
fn faults(read: Result<Vec<StatedRow>, Vec<LineFault>>) -> Vec<(String, String)> {
    let faults = read.expect_err("must be refused");
    faults.into_iter().map(|fault| (fault.pointer, fault.detail.to_string())).collect()
}

#[test]
fn every_name_of_a_column_means_one_field() {
    check_names::<weights::WeightColumn>();
    check_names::<temperatures::TemperatureColumn>();
    check_names::<health_events::HealthColumn>();
    check_names::<chips::ChipColumn>();
    check_names::<buyers::BuyerColumn>();
    check_names::<crate::import::dogs::PedigreeColumn>();
}

#[test]
fn a_weight_is_read_in_its_unit_and_at_its_time() {
    let text = "Hund;Datum;Uhrzeit;lb;oz;kg;Bemerkung\n\
                Juno;2026-05-16;08:00;1;4.5;;two\n\
                Rex;16.05.2026;;;;28,5;\n\
                Alma;2026-05-16 19:30;;;15.2;;\n";
    let rows = weights::read(text.as_bytes(), &how(Some(DateOrder::Dmy)), zone()).unwrap();
    let made: Vec<(Option<&str>, Value)> =
        rows.iter().map(|row| (row.dog.as_deref(), Value::Object(row.stated.clone()))).collect();
    // Berlin is two hours ahead in May; no time of day is noon.
    assert_eq!(
        made,
        [
            (
                Some("Juno"),
                json!({ "note": "two", "measured_at": "2026-05-16T06:00:00Z", "weight_g": 581 })
            ),
            (Some("Rex"), json!({ "measured_at": "2026-05-16T10:00:00Z", "weight_g": 28500 })),
            (Some("Alma"), json!({ "measured_at": "2026-05-16T17:30:00Z", "weight_g": 431 })),
        ]
    );
    let days: Vec<bool> = rows.iter().map(|row| row.day_only.is_some()).collect();
    assert_eq!(days, [false, true, false]);
    let fault = Fault::new("/weight_g", "is less");
    let places: Vec<String> = rows.iter().map(|row| row.at_column(fault.clone()).pointer).collect();
    assert_eq!(places, ["#line/2/weight_lb", "#line/3/weight_kg", "#line/4/weight_oz"]);
}

#[test]
fn every_faulty_cell_is_told_at_its_column() {
    let text = "dog,date,time,weight_g,weight_kg\n\
                Juno,03/04/2026,,431,\n\
                Juno,2026-13-01,,431,\n\
                Juno,2026-05-16,25:00,431,\n\
                Juno,2026-05-16,,431,0.431\n\
                Juno,2026-05-16,,4x,\n\
                Juno,,08:00,431,\n\
                Juno,2026-03-29,02:30,431,\n";
    let found = faults(weights::read(text.as_bytes(), &how(None), zone()));
    let places: Vec<&str> = found.iter().map(|(place, _)| place.as_str()).collect();
    assert_eq!(
        places,
        [
            "#line/2/measured_at",
            "#line/3/measured_at",
            "#line/4/time",
            "#line/5/weight_g",
            "#line/6/weight_g",
            "#line/7/time",
            "#line/8/measured_at",
        ]
    );
    assert!(
        found[0].1.ends_with("say which by date_order=dmy or date_order=mdy"),
        "{}",
        found[0].1
    );
    assert!(found[6].1.contains("the clocks leave out"), "{}", found[6].1);
}

#[test]
fn columns_must_be_there_and_be_known() {
    let found = faults(weights::read(b"dog,weight\nJuno,431\n", &how(None), zone()));
    let details: Vec<&str> = found.iter().map(|(_, detail)| detail.as_str()).collect();
    assert!(details.iter().any(|detail| detail.contains("no column measured_at")), "{details:?}");
    assert!(
        details.iter().any(|detail| detail.contains("unknown column \"weight\"")),
        "{details:?}"
    );
    assert!(
        details.iter().any(|detail| detail.contains("weight_g, weight_kg, weight_lb or weight_oz")),
        "{details:?}"
    );
    let columns = ColumnMap::new([("weight_g".to_owned(), "weight".to_owned())]);
    let mapped = ImportHow { columns, ..ImportHow::default() };
    assert!(weights::read(b"dog,date,weight\nJuno,2026-05-16,431\n", &mapped, zone()).is_ok());
    assert_eq!(faults(chips::read(b"dog,chip\n", &how(None), zone()))[0].0, "#line/1");
}

#[test]
fn temperatures_health_chips_and_buyers_make_their_bodies() {
    let one = |rows: Result<Vec<StatedRow>, Vec<LineFault>>| {
        Value::Object(rows.unwrap()[0].stated.clone())
    };
    let text = "bitch,date,fahrenheit\nJuno,2026-05-14T20:00,99.1\n";
    assert_eq!(
        one(temperatures::read(text.as_bytes(), &how(None), zone()))["temperature_c"],
        37.28
    );
    let both = "dog,date,temperature_c,temperature_f\nJuno,2026-05-14,37,98.6\n";
    let found = faults(temperatures::read(both.as_bytes(), &how(None), zone()));
    assert_eq!(found[0].0, "#line/2/temperature_f");
    let text = "Hund\tArt\tDatum\tImpfstoff\tCharge\tverfall\nJuno\tgeimpft\t2026-05-14\tX\tB1\t2027-01-31\n";
    let event = one(health_events::read(text.as_bytes(), &how(None), zone()));
    assert_eq!(
        event,
        json!({ "kind": "vaccination", "product": "X", "batch": "B1", "expires_on": "2027-01-31",
            "given_at": "2026-05-14T10:00:00Z" })
    );
    let text = "dog,kind,date,series,result,protected\nJuno,test,2026-05-14,core,Pos,ja\n";
    let event = one(health_events::read(text.as_bytes(), &how(None), zone()));
    assert_eq!((&event["result"], &event["protective"]), (&json!("positive"), &json!(true)));
    let text = "dog,kind,date,result\nJuno,test,2026-05-14,perhaps\n";
    let found = faults(health_events::read(text.as_bytes(), &how(None), zone()));
    assert_eq!(found[0].0, "#line/2/result");
    for written in ["leptospirosis; rabies", "\"leptospirosis, rabies\"", "leptospirosis + rabies"]
    {
        let text = format!("dog,kind,date,also_series\nJuno,shot,2026-05-14,{written}\n");
        let event = one(health_events::read(text.as_bytes(), &how(None), zone()));
        assert_eq!(event["also_series"], json!(["leptospirosis", "rabies"]), "{written}");
    }
    let chip = one(chips::read(b"dog,chip\nJuno,276 0981 0012-3456\n", &how(None), zone()));
    assert_eq!(chip, json!({ "chip_number": "276098100123456" }));
    let found = faults(chips::read(b"dog,chip\nJuno,999000000000001\n", &how(None), zone()));
    assert!(found[0].0 == "#line/2/chip_number" && found[0].1.contains("tests only"), "{found:?}");
    let text = "Name,E-Mail,Seit,Wunschgeschlecht,bis\nOttilie Marsh,o@example.org,2026-01-20,hündin,2026-09-01\n";
    let rows = buyers::read(text.as_bytes(), &how(None), zone()).unwrap();
    assert_eq!(
        Value::Object(rows[0].stated.clone()),
        json!({ "name": "Ottilie Marsh", "email": "o@example.org", "joined_on": "2026-01-20",
            "wishes": { "sex": "female", "until_on": "2026-09-01" } })
    );
    let fault = Fault::new("/wishes/until_on", "");
    assert_eq!(rows[0].at_column(fault).pointer, "#line/2/wished_until");
}

#[test]
fn what_a_row_states_comes_over_what_is_there() {
    let text = "name,joined_on,phone,sex\nOttilie,2026-01-20,,f\n";
    let row = buyers::read(text.as_bytes(), &how(None), zone()).unwrap().remove(0);
    let there = json!({ "name": "Ottilie", "joined_on": "2026-01-20", "phone": "1", "wishes": { "sex": null, "colour": "black" } });
    let (body, changes) = row.over(&there);
    assert_eq!(changes, ["wishes"]);
    assert_eq!(body["wishes"], json!({ "sex": "female", "colour": "black" }));
    assert_eq!(body["phone"], "1", "an empty cell says nothing");
    assert_eq!(row.over(&body).1, Vec::<String>::new());
}

#[test]
fn a_file_has_so_many_rows_and_no_more() {
    let file = |rows: usize| "dog,chip\n".to_owned() + &"Juno,276098100123456\n".repeat(rows);
    let read = |rows| chips::read(file(rows).as_bytes(), &how(None), zone());
    assert_eq!(read(MOST_ROWS).unwrap().len(), 10_000);
    let found = faults(read(MOST_ROWS + 1));
    assert_eq!(found[0].0, "#line/10002");
}
