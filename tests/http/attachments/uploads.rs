//! A file comes in by tus 1.0, in pieces, and goes on where a line broke.

use super::*;
use sha2::{Digest as _, Sha256};
use std::{io::Write as _, net::TcpStream, time::Duration};

async fn offset(caller: &Caller, upload: &str) -> String {
    let asked = caller.request(Method::HEAD, upload).header("tus-resumable", "1.0.0").send().await;
    assert_eq!(asked.header("tus-resumable"), "1.0.0");
    asked.expect(200).header("upload-offset")
}

#[tokio::test]
async fn a_photograph_comes_in_pieces_and_is_hung_on_a_dog() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let file = photograph(1_600, 800);
    let spoken = kennel.nobody().request(Method::OPTIONS, "/uploads").send().await.expect(204);
    assert_eq!(spoken.header("tus-version"), "1.0.0");
    assert_eq!(spoken.header("tus-extension"), "creation,expiration,termination");
    assert_eq!(spoken.header("tus-max-size"), (8 << 20).to_string());

    let announced = announce(&kennel, file.len(), "aW1hZ2UvanBlZw==").await.expect(201);
    let upload = announced.header("location");
    assert!(announced.header("upload-expires").ends_with(" GMT"));
    assert_eq!(offset(&kennel, &upload).await, "0");
    let (first, rest) = file.split_at(1_000);
    let sent = send(&kennel, &upload, 0, first).await.expect(204);
    assert_eq!(sent.header("upload-offset"), "1000");
    // From where it is, neither before nor behind.
    for wrong in [0, 999, 1_001] {
        send(&kennel, &upload, wrong, rest).await.problem(409);
    }
    let upload_id = id(&announced.json());
    let early = json!({ "upload_id": upload_id, "dog_id": juno, "kind": "photo" });
    kennel.post("/attachments", early.clone()).await.refused(&["/upload_id"]);
    send(&kennel, &upload, 1_000, rest).await.no_content();
    assert_eq!(offset(&kennel, &upload).await, file.len().to_string());
    // The answer was lost, and the last piece comes again: it is done already.
    send(&kennel, &upload, file.len(), b"").await.no_content();

    let made = kennel.post("/attachments", early.clone()).await.created();
    assert_eq!((&made["width_px"], &made["height_px"]), (&json!(1_600), &json!(800)));
    assert_eq!(made["media_type"], "image/jpeg");
    kennel.post("/attachments", early).await.refused(&["/upload_id"]);
    let path = format!("/attachments/{}", made["id"].as_str().unwrap());
    assert_eq!(kennel.get(&path).await.ok()["caption"], Value::Null);

    let read = kennel.get(&format!("{path}/file")).await.expect(200);
    assert_eq!(size(&read.bytes), (1_600, 800));
    let hash: String = Sha256::digest(&read.bytes).iter().map(|b| format!("{b:02x}")).collect();
    assert_eq!(made["sha256"], hash);
    assert_eq!(made["size_bytes"], read.bytes.len());
    for (name, value) in [
        ("content-type", "image/jpeg"),
        ("x-content-type-options", "nosniff"),
        ("content-security-policy", "default-src 'none'; sandbox"),
        ("cache-control", "private, max-age=3600"),
    ] {
        assert_eq!(read.header(name), value);
    }
    assert_eq!(read.header("etag"), format!("\"{hash}\""));
    assert!(read.header("content-disposition").starts_with("inline; filename=\"photo-"));
    let again = kennel.request(Method::GET, &format!("{path}/file"));
    let again = again.header("if-none-match", &read.header("etag")).send().await.expect(304);
    assert!(again.bytes.is_empty());
    for (asked, fits) in [("320", (320, 160)), ("1280", (1_280, 640))] {
        let small = kennel.get(&format!("{path}/file?size={asked}")).await.expect(200);
        assert_eq!(size(&small.bytes), fits);
    }
    kennel.get(&format!("{path}/file?size=500")).await.problem(400);

    let room = kennel.get("/uploads").await.ok();
    assert_eq!(room["taken_bytes"], made["size_bytes"]);
    assert_eq!(room["most_bytes"], 64 << 20);
}

/// Sends the head of a piece and less than it says, then lets go of the line.
fn break_off(kennel: &Kennel, upload: &str, length: usize, sent: &[u8]) {
    let address = kennel.service.url.trim_start_matches("http://").to_owned();
    let mut line = TcpStream::connect(&address).unwrap();
    let head = format!(
        "PATCH {upload} HTTP/1.1\r\nHost: {address}\r\nAuthorization: Bearer {}\r\n\
         Tus-Resumable: 1.0.0\r\nUpload-Offset: 0\r\nContent-Length: {length}\r\n\
         Content-Type: application/offset+octet-stream\r\n\r\n",
        kennel.token.as_ref().unwrap()
    );
    line.write_all(head.as_bytes()).unwrap();
    line.write_all(sent).unwrap();
    line.flush().unwrap();
    std::thread::sleep(Duration::from_millis(200));
}

#[tokio::test]
async fn what_came_before_a_line_broke_is_kept() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let file = noise(700, 7);
    const SENT: usize = 1_300_000;
    assert!(file.len() > SENT, "{}", file.len());
    let announced = announce(&kennel, file.len(), "").await.expect(201);
    let upload = announced.header("location");
    break_off(&kennel, &upload, file.len(), &file[..SENT]);
    // All that was taken from the line: what waited in its buffers (128 KiB that were read, 32 KiB on the way to
    // whoever takes them) is sent again.
    let least = SENT - (128 << 10) - (32 << 10);
    let come = until(format_args!("{least} have come"), async || {
        let come: usize = offset(&kennel, &upload).await.parse().unwrap();
        (come >= least).then_some(come)
    })
    .await;
    assert!(come <= SENT, "{come}");
    // What came last may still be put away: who sends at its place meanwhile is told to ask again.
    until("the rest is taken", async || {
        let come: usize = offset(&kennel, &upload).await.parse().unwrap();
        let sent = send(&kennel, &upload, come, &file[come..]).await;
        (sent.status != 409).then(|| sent.no_content())
    })
    .await;
    let body = json!({ "upload_id": id(&announced.json()), "dog_id": juno, "kind": "photo" });
    let made = kennel.post("/attachments", body).await.created();
    let path = format!("/attachments/{}/file", made["id"].as_str().unwrap());
    let read = kennel.get(&path).await.expect(200);
    let (sent, kept) = (image::load_from_memory(&file), image::load_from_memory(&read.bytes));
    assert_eq!(sent.unwrap().into_rgb8(), kept.unwrap().into_rgb8());
}

/// Whoever waits for an answer goes with the line; what came does not.
#[tokio::test]
async fn what_is_put_away_while_a_line_breaks_is_kept() {
    let kennel = Kennel::new().await;
    let file = noise(700, 7);
    // As much as is put away at once, and a little that may be lost.
    const PART: usize = 1 << 20;
    let announced = announce(&kennel, file.len(), "").await.expect(201);
    let upload = announced.header("location");
    let sql = kennel.sql().await;
    let row = id(&announced.json());
    let held = format!("BEGIN; SELECT id FROM uploads WHERE id = '{row}' FOR UPDATE");
    sql.batch_execute(&held).await.unwrap();
    break_off(&kennel, &upload, file.len(), &file[..PART + 1_000]);
    tokio::time::sleep(Duration::from_millis(500)).await;
    sql.batch_execute("ROLLBACK").await.unwrap();
    until("the part is kept", async || {
        let come: usize = offset(&kennel, &upload).await.parse().unwrap();
        (come >= PART).then_some(())
    })
    .await;
}

#[tokio::test]
async fn another_protocol_is_told_which_is_spoken() {
    let kennel = Kennel::among_others().await;
    let plain = kennel.request(Method::POST, "/uploads").header("upload-length", "10");
    let refused = plain.send().await;
    assert_eq!(refused.header("tus-version"), "1.0.0");
    refused.problem(412);
    for (length, status) in [("", 400), ("x", 400), ("-1", 400), ("0", 400)] {
        let request = kennel.request(Method::POST, "/uploads").header("tus-resumable", "1.0.0");
        let request =
            if length.is_empty() { request } else { request.header("upload-length", length) };
        assert_eq!(request.send().await.pointers(status), ["#header/upload-length"], "{length}");
    }
    // As large as one may be, and a byte more.
    announce(&kennel, 8 << 20, "").await.expect(201);
    announce(&kennel, (8 << 20) + 1, "").await.problem(413);
    announce(&kennel, 10, "not Base64").await.problem(400);
    let upload = announce(&kennel, 10, "").await.expect(201).header("location");
    let typed = kennel.request(Method::PATCH, &upload).header("tus-resumable", "1.0.0");
    typed.header("upload-offset", "0").json(&json!({})).send().await.problem(415);
    send(&kennel, &upload, 0, b"more than was announced").await.problem(413);
    assert_eq!(offset(&kennel, &upload).await, "0");
    // Given up, it is gone; nobody else ever saw it.
    let helper = kennel.helper().await;
    helper.get(&upload).await.problem(404);
    send(&helper, &upload, 0, b"abc").await.problem(404);
    announce(&kennel.viewer().await, 10, "").await.problem(403);
    let given_up = kennel.request(Method::DELETE, &upload).header("tus-resumable", "1.0.0");
    given_up.send().await.no_content();
    kennel.get(&upload).await.problem(404);
}

#[tokio::test]
async fn two_that_send_the_same_piece_do_not_mix() {
    let kennel = Kennel::among_others().await;
    let file = noise(400, 3);
    let upload = announce(&kennel, file.len(), "").await.expect(201).header("location");
    let sends: Vec<_> = (0..4)
        .map(|_| {
            let (caller, upload, file) = (kennel.owner().clone(), upload.clone(), file.clone());
            tokio::spawn(async move { send(&caller, &upload, 0, &file).await.status })
        })
        .collect();
    let mut statuses = Vec::new();
    for sent in sends {
        statuses.push(sent.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [204, 409, 409, 409]);
    assert_eq!(kennel.get(&upload).await.ok()["finished"], true);
}

#[tokio::test]
async fn a_kennel_has_so_much_room_and_no_more() {
    let limits = api::FilesLimits::of_megabytes(1, 2);
    let settings = denwright::service::server::Settings { files_limits: limits, ..settings() };
    let kennel = Kennel::with(settings).await;
    let juno = kennel.dam("Juno").await;
    let made = attach(&kennel, &photograph(800, 800), json!({ "dog_id": juno })).await;
    let taken = made["size_bytes"].as_u64().unwrap();
    // What is announced counts, so that two at once do not go above it together.
    announce(&kennel, 1 << 20, "").await.expect(201);
    let left = (1 << 20) - usize::try_from(taken).unwrap();
    announce(&kennel, left + 1, "").await.problem(409);
    let last = announce(&kennel, left, "").await.expect(201).header("location");
    announce(&kennel, 1, "").await.problem(409);
    let given_up = kennel.request(Method::DELETE, &last).header("tus-resumable", "1.0.0");
    given_up.send().await.no_content();
    announce(&kennel, left, "").await.expect(201);
}
