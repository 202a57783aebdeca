//! What is no picture and no paper is refused in words, and nothing of it is kept.

use super::*;

/// The refusal of a file, by the code of its fault.
async fn refused(kennel: &Kennel, file: &[u8], media_type: &str) -> String {
    let announced = announce(kennel, file.len(), media_type).await.expect(201);
    let upload = announced.header("location");
    let problem = send(kennel, &upload, 0, file).await.problem(422);
    // The upload is over: a client begins anew.
    kennel.get(&upload).await.problem(404);
    let fault = &problem["errors"][0];
    assert!(fault["detail"].as_str().unwrap().len() > 20, "{problem}");
    fault["code"].as_str().unwrap().to_owned()
}

#[tokio::test]
async fn hostile_files_are_refused_in_words() {
    let kennel = Kennel::among_others().await;
    let photo = photograph(64, 64);
    let mut bomb = photo.clone();
    let head = bomb.windows(2).position(|at| at == b"\xff\xc0").unwrap();
    bomb[head + 5..head + 9].copy_from_slice(b"\xff\xdc\xff\xdc");
    let broken = [&photo[..2], b"\xff\xe1\x00\x0eExif\0\0broken", &photo[2..]].concat();
    let script = contract("x").to_vec();
    let script = String::from_utf8(script).unwrap();
    let script = script.replace("/Pages 2 0 R", "/Pages 2 0 R /OpenAction << /S /JavaScript >>");
    let (jpeg, svg) = ("aW1hZ2UvanBlZw==", "aW1hZ2Uvc3ZnK3htbA==");
    for (file, media_type, code) in [
        (&bomb[..], "", "too_many"),
        (
            b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>",
            svg,
            "unsupported",
        ),
        (b"<!DOCTYPE html><script>alert(1)</script>", jpeg, "unsupported"),
        (&contract("named jpg"), jpeg, "differs"),
        (&broken, jpeg, "unreadable"),
        (&photo[..photo.len() / 2], jpeg, "unreadable"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "aW1hZ2UvaGVpYw==", "unsupported"),
        (b"GIF89a\x01\0\x01\0\0\0\0;", "", "unsupported"),
        (&contract("cut off")[..80], "", "unreadable"),
        (script.as_bytes(), "", "unsupported"),
        (b"\x7fELF\x02\x01\x01", "", "unsupported"),
    ] {
        assert_eq!(refused(&kennel, file, media_type).await, code, "{:?}", &file[..8]);
    }
    assert_eq!(kennel.get("/uploads").await.ok()["taken_bytes"], 0);
    let blobs = files_folder().join("blobs").join(kennel.kennel_id.to_string());
    assert!(!blobs.exists(), "nothing of them was kept");
}

/// A picture that is a page as well loses the page; a paper is saved, and never shown.
#[tokio::test]
async fn what_is_given_out_is_what_it_says_it_is() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let page = b"<html><script>alert(document.domain)</script></html>".to_vec();
    let both = [photograph(64, 64), page].concat();
    let made = attach(&kennel, &both, json!({ "dog_id": juno })).await;
    let path = |made: &Value| format!("/attachments/{}/file", made["id"].as_str().unwrap());
    let read = kennel.get(&path(&made)).await.expect(200);
    assert!(!read.text().contains("script"));
    let paper = contract("of a test");
    let made = attach(&kennel, &paper, json!({ "dog_id": juno, "kind": "test_result" })).await;
    for size in ["", "?size=320"] {
        let read = kennel.get(&format!("{}{size}", path(&made))).await.expect(200);
        assert_eq!(read.bytes, paper);
        assert_eq!(read.header("content-type"), "application/pdf");
        let disposition = read.header("content-disposition");
        assert!(disposition.starts_with("attachment; filename=\"test_result-"), "{disposition}");
    }
    let upload_id = upload(&kennel, &paper).await;
    let photo = json!({ "upload_id": upload_id, "dog_id": juno, "kind": "photo" });
    kennel.post("/attachments", photo).await.refused(&["/kind"]);
}

#[tokio::test]
async fn a_damaged_file_is_not_given_out() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let made = attach(&kennel, &photograph(64, 64), json!({ "dog_id": juno })).await;
    let blobs = files_folder().join("blobs").join(kennel.kennel_id.to_string());
    let file = blobs.join(made["sha256"].as_str().unwrap());
    let mut bytes = std::fs::read(&file).unwrap();
    bytes[100] ^= 1;
    std::fs::write(&file, bytes).unwrap();
    let path = format!("/attachments/{}/file", made["id"].as_str().unwrap());
    kennel.get(&path).await.problem(500);
}
