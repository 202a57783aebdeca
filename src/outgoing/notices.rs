//! Mails about the kennel itself: somebody is invited, the kennel is to end or goes on.

use crate::html;
use catalogue::{Language, Text, said, speaking};
use chrono::NaiveDate;
use domain::record::Role;
use serde_json::{Value, json};

/// An invitation, as it is told to whoever is invited.
pub struct Invited<'a> {
    /// The kennel's name.
    pub kennel: &'a str,
    /// Who invites.
    pub inviter: &'a str,
    /// What they will be.
    pub role: Role,
    /// The address of the page on which they join.
    pub link: &'a str,
    /// Its last day.
    pub last_on: NaiveDate,
}

impl Invited<'_> {
    /// The mail, in this language.
    pub fn mail(&self, language: Language) -> Value {
        let Self { kennel, inviter, link, last_on, .. } = *self;
        speaking(language, || {
            let head = said!("mail-invitation-subject", kennel = kennel, inviter = inviter);
            let role = match self.role {
                Role::Owner => said!("mail-invitation-owner", kennel = kennel),
                Role::CoOwner => said!("mail-invitation-co-owner", kennel = kennel),
                Role::Helper => said!("mail-invitation-helper", kennel = kennel),
                Role::Viewer => said!("mail-invitation-viewer", kennel = kennel),
            };
            let until = said!("mail-invitation-until", day = last_on);
            let action = (link, said!("mail-invitation-join"));
            written(language, &head, &[role, until], Some(&action))
        })
    }
}

/// Tells that a kennel is to end on a day, in this language; `link` leads to the service's pages.
pub fn kennel_ends(kennel: &str, on: NaiveDate, link: Option<&str>, language: Language) -> Value {
    speaking(language, || {
        let head = said!("mail-kennel-ends-subject", kennel = kennel, day = on);
        let parts =
            [said!("mail-kennel-ends", kennel = kennel, day = on), said!("mail-kennel-ends-until")];
        let action = link.map(|link| (link, said!("mail-kennel-open")));
        written(language, &head, &parts, action.as_ref())
    })
}

/// Reminds that a kennel ends soon, on a day.
pub fn kennel_ends_soon(
    kennel: &str,
    on: NaiveDate,
    link: Option<&str>,
    language: Language,
) -> Value {
    speaking(language, || {
        let head = said!("mail-kennel-ends-soon-subject", kennel = kennel, day = on);
        let parts = [
            said!("mail-kennel-ends-soon", kennel = kennel, day = on),
            said!("mail-kennel-ends-until"),
        ];
        let action = link.map(|link| (link, said!("mail-kennel-open")));
        written(language, &head, &parts, action.as_ref())
    })
}

/// Tells that a kennel goes on after all.
pub fn kennel_goes_on(kennel: &str, link: Option<&str>, language: Language) -> Value {
    speaking(language, || {
        let head = said!("mail-kennel-goes-on-subject", kennel = kennel);
        let action = link.map(|link| (link, said!("mail-kennel-open")));
        written(language, &head, &[said!("mail-kennel-goes-on", kennel = kennel)], action.as_ref())
    })
}

/// A mail of these parts, as plain words and as HTML, with something to open.
fn written(
    language: Language,
    head: &Text,
    parts: &[Text],
    action: Option<&(&str, Text)>,
) -> Value {
    let mut text: String = parts.iter().map(|part| format!("{part}\n\n")).collect();
    let mut below: String = parts.iter().map(html::paragraph).collect();
    if let Some((link, words)) = action {
        text += &format!("{words}: {link}\n");
        below += &html::link(link, words);
    }
    json!({ "subject": head.to_string(), "text": text, "html": html::page(language, head, &below) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_invitation_is_told_in_both_languages_and_hides_no_name_in_html() {
        let invited = Invited {
            kennel: "A & B <i>",
            inviter: "Maren \"M\" Holt",
            role: Role::Helper,
            link: "https://kennel.example/#/join/x?a=1&b=2",
            last_on: "2026-02-01".parse().unwrap(),
        };
        for language in Language::ALL {
            let mail = invited.mail(language);
            let (text, html) = (mail["text"].as_str().unwrap(), mail["html"].as_str().unwrap());
            assert!(text.contains("A & B <i>") && text.contains(invited.link), "{text}");
            assert!(html.contains("A &amp; B &lt;i&gt;") && !html.contains("<i>"), "{html}");
            assert!(html.contains("join/x?a=1&amp;b=2"), "{html}");
            assert!(mail["subject"].as_str().unwrap().contains("Maren \"M\" Holt"), "{mail}");
        }
        assert_ne!(invited.mail(Language::English), invited.mail(Language::German));
    }
}
