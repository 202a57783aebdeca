//! Where webhooks may lead: addresses of the public internet, unless the service allows others.

use super::webhooks::Manner;
use catalogue::{Text, said};
use reqwest::{
    Url,
    dns::{Addrs, Name, Resolve, Resolving},
};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

/// Why an address may not be a webhook's.
///
/// # Errors
/// The reason, to follow the field's name.
pub fn check_url(text: &str, manner: &Manner) -> Result<Url, Text> {
    let url: Url = text.parse().map_err(|_| said!("fault-malformed-address"))?;
    match url.scheme() {
        "https" => {}
        "http" if manner.private_networks => {}
        _ => return Err(said!("fault-unsupported-scheme")),
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(said!("fault-unsupported-address-login"));
    }
    // A name is looked up, and its address judged, when it is called.
    let host = url.host_str().unwrap_or_default();
    let literal = host.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
    if let Ok(address) = literal
        && !manner.private_networks
        && !is_public(address)
    {
        return Err(said!("fault-not-allowed-private-network"));
    }
    Ok(url)
}

/// Whether an address is one of the public internet (IANA's special-purpose registries, RFC 6890).
fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    !(address.is_private()
        || address.is_loopback()
        || address.is_link_local()
        || address.is_broadcast()
        || address.is_multicast()
        || address.is_documentation()
        || a == 0
        || a >= 240
        || (a == 100 && (64..128).contains(&b))
        || (a == 192 && b == 0 && c == 0)
        || (a == 192 && b == 88 && c == 99)
        || (a == 198 && (18..20).contains(&b)))
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let parts = address.segments();
    let embedded = |high: u16, low: u16| Ipv4Addr::from((u32::from(high) << 16) | u32::from(low));
    if let Some(mapped) = address.to_ipv4_mapped() {
        return is_public_v4(mapped);
    }
    match parts {
        // NAT64 and 6to4 carry an IPv4 address.
        [0x64, 0xff9b, 0, 0, 0, 0, high, low] => is_public_v4(embedded(high, low)),
        [0x2002, high, low, ..] => is_public_v4(embedded(high, low)),
        [0x2001, second, ..] if second < 0x200 || second == 0xdb8 => false,
        // Documentation (RFC 9637).
        [0x3fff, second, ..] if second < 0x1000 => false,
        // Of the rest, only 2000::/3 is handed out.
        [first, ..] => (0x2000..0x4000).contains(&first),
    }
}

/// What a caller is told of a name that leads to no public address, as the last cause of its error.
pub(crate) const NOT_PUBLIC: &str = "the name leads to no public address";

/// Looks names up and gives only addresses that may be called. What was judged is what is called:
/// a name that changes its address in between gains nothing. A name that is not there and one that leads
/// inside are told alike: which names there are inside is nobody's to find out.
pub(crate) struct PublicOnly;

impl Resolve for PublicOnly {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await;
            let addresses: Vec<SocketAddr> = found.map(Iterator::collect).unwrap_or_default();
            if addresses.is_empty() || addresses.iter().any(|address| !is_public(address.ip())) {
                return Err(NOT_PUBLIC.into());
            }
            Ok(Box::new(addresses.into_iter()) as Addrs)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn private_networks_are_known_however_they_are_written() {
        let manner = Manner::default();
        for private in [
            "https://127.0.0.1/hook",
            "https://2130706433/hook",
            "https://0x7f.1/hook",
            "https://0177.0.0.1/hook",
            "https://127.1/hook",
            "https://１２７.0.0.1/hook",
            "https://%31%32%37.0.0.1/hook",
            "https://10.1.2.3/",
            "https://172.16.0.1/",
            "https://172.31.255.255/",
            "https://192.168.1.1/",
            "https://169.254.169.254/latest/meta-data",
            "https://100.64.0.1/",
            "https://100.127.255.255/",
            "https://198.19.255.255/",
            "https://0.0.0.0/",
            "https://224.0.0.1/",
            "https://240.0.0.1/",
            "https://255.255.255.255/",
            "https://[::1]/",
            "https://[::]/",
            "https://[fe80::1]/",
            "https://[fd00::1]/",
            "https://[fec0::1]/",
            "https://[ff02::1]/",
            "https://[::ffff:10.0.0.1]/",
            "https://[::ffff:a9fe:a9fe]/",
            "https://[::10.0.0.1]/",
            "https://[64:ff9b::a00:1]/",
            "https://[64:ff9b:1::a00:1]/",
            "https://[2002:a00:1::]/",
            "https://[2001::1]/",
            "https://[2001:db8::1]/",
            "https://[3fff::1]/",
            "https://[5f00::1]/",
        ] {
            assert!(check_url(private, &manner).is_err(), "{private}");
        }
        for public in [
            "https://1.1.1.1/",
            "https://100.63.255.255/",
            "https://100.128.0.0/",
            "https://172.15.255.255/",
            "https://172.32.0.0/",
            "https://[2606:4700::1111]/",
            "https://[64:ff9b::101:101]/",
            "https://kennel.example/",
        ] {
            assert!(check_url(public, &manner).is_ok(), "{public}");
        }
        for wrong in [
            "http://kennel.example/",
            "ftp://kennel.example/",
            "file:///etc/passwd",
            "kennel",
            "https://a:b@c.example/",
            "https://a@c.example/",
        ] {
            assert!(check_url(wrong, &manner).is_err(), "{wrong}");
        }
        let open = Manner { private_networks: true, ..Manner::default() };
        assert!(check_url("http://127.0.0.1:9/", &open).is_ok());
    }
}
