//! How often somebody may try: by account and by where they come from.

use super::{
    App,
    problem::{Kind, Problem},
};
use crate::{
    credentials::hash_secret,
    store::attempts::{self, Counter},
};
use actix_web::{HttpRequest, http::header};
use std::net::{IpAddr, Ipv6Addr};

/// How many tries go without a wait.
#[derive(Debug, Clone, Copy)]
pub struct FreeTries {
    /// On one account (OWASP's Authentication Cheat Sheet asks for a threshold with growing waits;
    /// NIST SP 800-63B-4 for at most 100 failures in a row, which these waits keep to within a day).
    pub on_account: i32,
    /// From one network address: a family or an office shares one.
    pub from_address: i32,
}

/// A counted try, to be called good afterwards.
pub struct Attempt {
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
        sort: &str,
        email: &str,
    ) -> Result<Self, Problem> {
        let address = client_address(request, app.proxies);
        let address = hash_secret(&format!("{sort} from {address}"));
        let account = hash_secret(&format!("{sort} on {}", email.trim().to_lowercase()));
        let FreeTries { on_account, from_address } = app.free_tries;
        for (key, free) in [(&address, from_address), (&account, on_account)] {
            let counter = Counter { key: key.clone(), free };
            if let Some(seconds) = attempts::count(&app.db, &counter).await? {
                return Err(too_many(seconds));
            }
        }
        Ok(Self { account, address })
    }

    /// The try was good: it does not count, and the account's earlier ones are forgotten.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn was_good(self, app: &App) -> Result<(), Problem> {
        attempts::forget(&app.db, &self.account).await?;
        attempts::take_back(&app.db, &self.address).await?;
        Ok(())
    }
}

fn too_many(seconds: i32) -> Problem {
    let detail = format!("Too many tries; wait {seconds} seconds.");
    Problem::new(Kind::TooMany, detail).with_header(header::RETRY_AFTER, seconds.to_string())
}

/// Where a request comes from, behind so many proxies of one's own.
///
/// Each proxy adds to the right of `X-Forwarded-For` whom it was asked by; what stands further left
/// was written by the client. An IPv6 network of one customer (/64) counts as one address.
pub fn client_address(request: &HttpRequest, proxies: usize) -> IpAddr {
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
