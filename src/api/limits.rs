//! How often somebody may try: by account and by where they come from.

use super::{
    App,
    problem::{Kind, Problem},
};
use actix_web::{HttpRequest, http::header};
use catalogue::said;
use security::credentials::hash_secret;
use std::net::{IpAddr, Ipv6Addr};
use store::attempts::{self, Counter};

/// How many tries go without a wait.
#[derive(Debug, Clone, Copy)]
pub struct FreeTries {
    /// On one account from one network address (OWASP's Authentication Cheat Sheet asks for a threshold
    /// with growing waits). A stranger's tries keep out nobody who comes from elsewhere.
    pub on_account: i32,
    /// On one account from everywhere: NIST SP 800-63B-4 (section 3.2.2) asks for at most 100 failures in
    /// a row.
    pub on_account_from_everywhere: i32,
    /// From one network address: a family or an office shares one.
    pub from_address: i32,
}

/// Mails to one address go without a wait for so small a part of the tries from everywhere.
const MAILS_PART: i32 = 5;

/// What is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sort {
    /// To log in, or to give one's password again.
    Login,
    /// To sign up.
    SignUp,
    /// To be sent a code by mail.
    Reset,
    /// To use a code of a mail.
    ResetCode,
    /// To tell a kennel of a dog by the link of its booklet, which is the account then.
    Report,
}

impl Sort {
    fn word(self) -> &'static str {
        match self {
            Self::Login => "login",
            Self::SignUp => "sign-up",
            Self::Reset => "reset",
            Self::ResetCode => "reset code",
            Self::Report => "report",
        }
    }

    /// Key of the tries on an account from everywhere; all on that account begin with its first half.
    fn account_key(self, email: &str) -> Vec<u8> {
        hash_secret(&format!("{} on {}", self.word(), email.trim().to_lowercase()))
    }
}

/// How many bytes of a key tell the account.
const ACCOUNT_BYTES: usize = 16;

/// A counted try, to be called good afterwards.
pub(crate) struct Attempt {
    account_here: Vec<u8>,
    account: Vec<u8>,
    address: Vec<u8>,
}

impl Attempt {
    /// Counts a try of this sort on an account, whether there is such an account or not.
    ///
    /// # Errors
    /// 429 with `Retry-After` when it may not be made yet.
    pub async fn begin(
        app: &App,
        request: &HttpRequest,
        sort: Sort,
        email: &str,
    ) -> Result<Self, Problem> {
        let from = client_address(request, app.proxies);
        let address = hash_secret(&format!("{} from {from}", sort.word()));
        let account = sort.account_key(email);
        let account_here = [&account[..ACCOUNT_BYTES], &address[..ACCOUNT_BYTES]].concat();
        let FreeTries { on_account, on_account_from_everywhere, from_address } = app.free_tries;
        let everywhere = match sort {
            Sort::Reset => (on_account_from_everywhere / MAILS_PART).max(1),
            _ => on_account_from_everywhere,
        };
        // The nearest first: who is barred here does not use up what others may do elsewhere.
        let counters = [
            Counter { key: address.clone(), free: from_address },
            Counter { key: account_here.clone(), free: on_account },
            Counter { key: account.clone(), free: everywhere },
        ];
        match attempts::count(&app.db, &counters).await? {
            Some(seconds) => Err(too_many(seconds)),
            None => Ok(Self { account_here, account, address }),
        }
    }

    /// The try was good: it does not count, and the account's earlier ones are forgotten.
    ///
    /// # Errors
    /// When the database is away.
    pub(crate) async fn was_good(self, app: &App) -> Result<(), Problem> {
        let forgotten = [self.account_here, self.account];
        Ok(attempts::was_good(&app.db, &forgotten, &self.address).await?)
    }

    /// What became of the try; it does not count when there was no room to make it.
    ///
    /// # Errors
    /// That of the try, or when the database is away.
    pub(crate) async fn unless_busy<T>(
        &self,
        app: &App,
        tried: Result<T, Problem>,
    ) -> Result<T, Problem> {
        if tried.as_ref().is_err_and(|problem| problem.kind() == Kind::Busy) {
            for key in [&self.account_here, &self.account, &self.address] {
                attempts::was_good(&app.db, &[], key).await?;
            }
        }
        tried
    }
}

/// Forgets all tries on an account, from wherever they came: its person has shown who they are by mail.
///
/// # Errors
/// When the database is away.
pub(crate) async fn forget(app: &App, email: &str) -> Result<(), Problem> {
    for sort in [Sort::Login, Sort::Reset, Sort::ResetCode] {
        attempts::forget_account(&app.db, &sort.account_key(email)[..ACCOUNT_BYTES]).await?;
    }
    Ok(())
}

/// Where a request comes from, as a hash.
pub(crate) fn place(app: &App, request: &HttpRequest) -> Vec<u8> {
    hash_secret(&format!("asked from {}", client_address(request, app.proxies)))
}

fn too_many(seconds: i32) -> Problem {
    let detail = said!("problem-too-many-tries", seconds = seconds);
    Problem::new(Kind::TooMany, detail).with_header(header::RETRY_AFTER, seconds.to_string())
}

/// Where a request comes from, behind so many proxies of one's own.
///
/// Each proxy adds to the right of `X-Forwarded-For` whom it was asked by; what stands further left
/// was written by the client. An IPv6 network of one customer (/64) counts as one address.
pub(crate) fn client_address(request: &HttpRequest, proxies: usize) -> IpAddr {
    let forwarded: Vec<&str> = request
        .headers()
        .get_all("X-Forwarded-For")
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(str::trim)
        .collect();
    let told = forwarded.len().checked_sub(proxies).and_then(|at| forwarded.get(at));
    let told = told.filter(|_| proxies > 0).and_then(|text| text.parse().ok());
    let peer = || request.peer_addr().map(|peer| peer.ip());
    match told.or_else(peer).unwrap_or(IpAddr::V6(Ipv6Addr::UNSPECIFIED)).to_canonical() {
        IpAddr::V6(address) => IpAddr::V6((u128::from(address) & !u128::from(u64::MAX)).into()),
        address => address,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn clients_cannot_choose_their_address() {
        let request = TestRequest::default()
            .peer_addr("192.0.2.9:1000".parse().unwrap())
            .insert_header(("X-Forwarded-For", "203.0.113.5, 198.51.100.7"))
            .to_http_request();
        let address = |proxies| client_address(&request, proxies).to_string();
        assert_eq!(address(0), "192.0.2.9");
        assert_eq!(address(1), "198.51.100.7");
        assert_eq!(address(2), "203.0.113.5");
        // Fewer entries than proxies: somebody went past them.
        assert_eq!(address(3), "192.0.2.9");
    }

    #[test]
    fn a_network_of_one_customer_is_one_address() {
        let from = |peer: &str| {
            let request = TestRequest::default().peer_addr(peer.parse().unwrap());
            client_address(&request.to_http_request(), 0)
        };
        assert_eq!(from("[2001:db8:1:2::3]:1"), from("[2001:db8:1:2:ffff::4]:1"));
        assert_ne!(from("[2001:db8:1:2::3]:1"), from("[2001:db8:1:3::3]:1"));
        assert_eq!(from("[::ffff:192.0.2.9]:1").to_string(), "192.0.2.9");
    }
}
