//! A mail server on a port of this machine that keeps what it is handed (RFC 5321, as far as it takes).

use std::{
    sync::{Arc, Mutex},
    time::Duration,
};

use super::waiting::until;
use outgoing::mail::{MailRoute, Mailer};
use tokio::{
    io::{AsyncBufReadExt as _, AsyncWriteExt as _, BufReader},
    net::{TcpListener, TcpStream},
};

/// A mail server.
#[derive(Clone)]
pub struct PostOffice {
    address: String,
    mails: Arc<Mutex<Vec<String>>>,
    refusals: Arc<Mutex<usize>>,
}

impl PostOffice {
    /// One that refuses the first so many mails for the moment.
    pub async fn start(refusals: usize) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let office = Self {
            address: listener.local_addr().unwrap().to_string(),
            mails: Arc::default(),
            refusals: Arc::new(Mutex::new(refusals)),
        };
        let answering = office.clone();
        tokio::spawn(async move {
            while let Ok((connection, _)) = listener.accept().await {
                let answering = answering.clone();
                tokio::spawn(async move {
                    let _ = answering.answer(connection).await;
                });
            }
        });
        office
    }

    /// What sends mail through it.
    pub fn mailer(&self) -> Mailer {
        let route: MailRoute = format!("smtp://{}", self.address).parse().expect("an address");
        Mailer::new(route, "denwright@example.org".parse().expect("an address"), "".into())
    }

    async fn answer(&self, connection: TcpStream) -> std::io::Result<()> {
        let mut connection = BufReader::new(connection);
        connection.write_all(b"220 sink\r\n").await?;
        loop {
            let mut line = String::new();
            if connection.read_line(&mut line).await? == 0 {
                return Ok(());
            }
            let word = line.split_whitespace().next().unwrap_or_default().to_uppercase();
            match word.as_str() {
                "EHLO" => connection.write_all(b"250-sink\r\n250 8BITMIME\r\n").await?,
                "MAIL" if self.refuses() => connection.write_all(b"451 later\r\n").await?,
                "DATA" => {
                    connection.write_all(b"354 go on\r\n").await?;
                    let mut mail = String::new();
                    while !mail.ends_with("\r\n.\r\n") {
                        if connection.read_line(&mut mail).await? == 0 {
                            return Ok(());
                        }
                    }
                    self.mails.lock().unwrap().push(mail);
                    connection.write_all(b"250 kept\r\n").await?;
                }
                "QUIT" => return connection.write_all(b"221 bye\r\n").await,
                _ => connection.write_all(b"250 fine\r\n").await?,
            }
        }
    }

    fn refuses(&self) -> bool {
        let mut left = self.refusals.lock().unwrap();
        let refuses = *left > 0;
        *left = left.saturating_sub(1);
        refuses
    }

    /// All mails so far.
    pub fn mails(&self) -> Vec<String> {
        self.mails.lock().unwrap().clone()
    }

    /// Waits for so many mails.
    pub async fn wait(&self, count: usize) -> Vec<String> {
        let enough = async || Some(self.mails()).filter(|mails| mails.len() >= count);
        until(format_args!("{count} mails"), enough).await
    }
}
