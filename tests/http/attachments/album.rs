//! The album in a printed booklet: a portrait, a row by age, what they show in words; and files that are lost.

use super::*;
use lopdf::{Document, Object};
use std::fs;

/// What a PDF says of its pictures (in words), and how many photographs it has.
fn pictures(pdf: &[u8]) -> (Vec<String>, usize) {
    let document = Document::load_mem(pdf).unwrap();
    let named = |object: &Object, key: &[u8], name: &[u8]| {
        let found = match object {
            Object::Dictionary(found) => found,
            Object::Stream(stream) => &stream.dict,
            _ => return false,
        };
        found.get(key).and_then(Object::as_name).is_ok_and(|of| of == name)
    };
    let figures = document.objects.values().filter(|object| named(object, b"S", b"Figure"));
    let said = figures.map(|figure| {
        let alt = figure.as_dict().unwrap().get(b"Alt").unwrap();
        lopdf::decode_text_string(alt).unwrap()
    });
    let photos = document.objects.values().filter(|object| named(object, b"Subtype", b"Image"));
    (said.collect(), photos.count())
}

fn text(pdf: &[u8]) -> String {
    pdf_extract::extract_text_from_mem(pdf).unwrap()
}

#[tokio::test]
async fn a_booklet_prints_its_album() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 60).await;
    let path = format!("/dogs/{}/booklet.pdf", pups[0]);
    let (_, none) = pictures(&kennel.get(&path).await.expect(200).bytes);
    assert_eq!(none, 0);
    let mut made = Vec::new();
    // From the day of birth to the eighth week; the newest cannot be made small.
    for week in 0_u8..10 {
        let file = match week {
            9 => noise(700, 7),
            week => photograph(400 + u32::from(week), 300),
        };
        let of =
            if week == 0 { json!({ "litter_id": litter }) } else { json!({ "dog_id": pups[0] }) };
        let mut fields = of;
        fields["shown_to_buyer"] = json!(true);
        fields["taken_on"] = json!(days_ago(60 - 6 * i64::from(week)));
        if week == 9 {
            fields["caption"] = json!("Off to Ottilie");
        }
        made.push(attach(&kennel, &file, fields).await);
    }
    let hidden = json!({ "dog_id": pups[0], "taken_on": days_ago(1), "caption": "ours alone" });
    attach(&kennel, &photograph(500, 300), hidden).await;

    let pdf = kennel.get(&path).await.expect(200).bytes;
    let (said, photos) = pictures(&pdf);
    // The portrait, and eight of ten in the row: the newest in both sizes.
    assert_eq!(photos, 9, "{said:?}");
    assert_eq!(said.iter().filter(|alt| *alt == "Off to Ottilie").count(), 2, "{said:?}");
    assert_eq!(said.iter().filter(|alt| alt.contains("the day of birth")).count(), 1, "{said:?}");
    let printed = text(&pdf);
    for words in ["Album", "the day of birth", "6 days old", "7 weeks old: Off to Ottilie"] {
        assert!(printed.contains(words), "{words}: {printed}");
    }
    assert!(!printed.contains("ours alone") && !printed.contains("A place for a picture"));
    assert!(pdf.len() < 3_000_000, "{} bytes", pdf.len());
    let german = kennel.get(&format!("{path}?language=de")).await.expect(200).bytes;
    assert!(text(&german).contains("am Tag der Geburt"));

    // By its link it is the same.
    let link = kennel.post(&format!("/dogs/{}/booklet-links", pups[0]), json!({})).await;
    let link = link.created()["path"].as_str().unwrap().to_owned();
    let shared = kennel.nobody().get(&format!("{link}/booklet.pdf")).await.expect(200).bytes;
    assert_eq!(pictures(&shared).1, 9);

    // One file is lost, one is another, and what was made of both as well; of a third only the smaller picture is
    // damaged, and made anew.
    let kennel_id = kennel.kennel_id.to_string();
    let sums: Vec<&str> = made.iter().map(|one| one["sha256"].as_str().unwrap()).collect();
    let place = |of: &str, sum: &str| files_folder().join(of).join(&kennel_id).join(sum);
    fs::remove_file(place("blobs", sums[1])).unwrap();
    fs::remove_dir_all(place("thumbnails", sums[1])).unwrap();
    fs::write(place("blobs", sums[2]), b"\xff\xd8\xff\xe0 a hostile picture").unwrap();
    fs::write(place("thumbnails", sums[2]).join("320"), b"\xff\xd8\xff\xe0 another").unwrap();
    fs::write(place("thumbnails", sums[9]).join("1280"), b"\xff\xd8\xff\xe0 another").unwrap();
    let pdf = kennel.get(&path).await.expect(200).bytes;
    let (said, photos) = pictures(&pdf);
    assert_eq!(photos, 7, "{said:?}");
    assert!(text(&pdf).contains("Off to Ottilie") && text(&pdf).contains("The new owner"));
}
