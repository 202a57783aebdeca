//! Writes the daily letters: what is late, due and coming, in its reader's language.

use super::{Ringing, words::page_of};
use crate::html::{self, escaped};
use catalogue::{Language, Text, said, speaking};
use chrono::{DateTime, NaiveDate, Utc};
use domain::{
    rings::{Letter, letter, next_time},
    tasks::TaskLine,
};
use serde_json::{Value, json};
use std::{fmt::Write as _, sync::Arc, time::Duration};
use store::{
    StoreResult, Tx, aside,
    rings::letters::{self, DueLetter},
    tasks,
};

/// How often to look for letters: nobody waits for one to the second.
const GLANCE: Duration = Duration::from_secs(15);
/// Letters that are taken at once; one is written after the other.
const AT_ONCE: i32 = 4;

/// Writes for as long as the process lives.
pub async fn work(ringing: Arc<Ringing>) {
    loop {
        let (db, lease) = (&ringing.bell.db, ringing.bell.manner.lease_seconds());
        let claimed = letters::claim(db, (ringing.bell.now)(), AT_ONCE, lease).await;
        let claimed = claimed.unwrap_or_else(|error| {
            tracing::debug!(%error, "no letters are written");
            Vec::new()
        });
        for due in &claimed {
            if let Err(error) = ringing.write(due).await {
                // Its lease ends, and it is written then.
                tracing::warn!(%error, "a letter is written later");
            }
        }
        if claimed.is_empty() {
            tokio::time::sleep(GLANCE.min(ringing.bell.manner.glance * 30)).await;
        }
    }
}

impl Ringing {
    async fn write(&self, due: &DueLetter) -> StoreResult<()> {
        let db = &self.bell.db;
        let now = (self.bell.now)();
        let scope = due.scope(now);
        let book = self.bell.studbooks.current(&scope).await?;
        let asked =
            db.within(&scope, async |tx: &mut Tx| tasks::in_kennel(tx, &book).await).await?;
        let own = self.bell.own_origin.as_ref();
        let place = own.map(|origin| format!("{origin}{}", page_of(scope.kennel_id())));
        let end = match own {
            Some(origin) => Some(format!("{origin}/letters/{}", due.end_token(db)?)),
            None => None,
        };
        let (kennel, today) = (scope.kennel().name.clone(), scope.today());
        let language = due.choices.language;
        let content = aside(move || {
            let lines = asked.lines();
            let letter = letter(&lines, today)?;
            let page =
                Page { kennel: &kennel, today, place: place.as_deref(), end: end.as_deref() };
            Some(speaking(language, || page.written(&letter, language)))
        });
        let content = content.await?;
        let times = (now, self.next(due, now));
        letters::finish(db, due, times, today, content).await?;
        self.due.notify_one();
        Ok(())
    }

    fn next(&self, due: &DueLetter, now: DateTime<Utc>) -> DateTime<Utc> {
        let zone = due.scope(now).tz();
        let next = due.choices.letter_at.as_deref().and_then(|at| next_time(at, now, zone));
        next.unwrap_or(now + chrono::Duration::days(1))
    }
}

/// What stands around the lines of a letter.
struct Page<'a> {
    kennel: &'a str,
    today: NaiveDate,
    /// The kennel's pages, and what ends these letters.
    place: Option<&'a str>,
    end: Option<&'a str>,
}

impl Page<'_> {
    fn written(&self, letter: &Letter<'_>, language: Language) -> Value {
        let Letter { late, due, coming } = letter;
        let subject =
            said!("letter-subject", kennel = self.kennel, due = due.len(), late = late.len());
        let is_late =
            |line: &TaskLine| said!("letter-late", title = &line.title, days = line.days_late);
        let is_due = |line: &TaskLine| line.title.clone();
        let is_coming =
            |line: &TaskLine| said!("letter-coming", title = &line.title, day = line.due_on);
        let parts: [(Text, Vec<Text>); 3] = [
            (said!("letter-late-head"), late.iter().map(|line| is_late(line)).collect()),
            (said!("letter-due-head"), due.iter().map(|line| is_due(line)).collect()),
            (said!("letter-coming-head"), coming.iter().map(|line| is_coming(line)).collect()),
        ];
        let head = said!("letter-head", kennel = self.kennel, day = self.today);
        json!({
            "subject": subject.to_string(), "unsubscribe": self.end,
            "text": self.plain(&head, &parts), "html": self.html(&head, &parts, language),
        })
    }

    fn plain(&self, head: &Text, parts: &[(Text, Vec<Text>)]) -> String {
        let mut text = format!("{head}\n");
        // Writing to a text cannot fail.
        for (title, lines) in parts.iter().filter(|(_, lines)| !lines.is_empty()) {
            let _ = write!(text, "\n{title}\n");
            for line in lines {
                let _ = writeln!(text, "- {line}");
            }
        }
        if let Some(place) = self.place {
            let _ = write!(text, "\n{place}\n");
        }
        let _ = match self.end {
            Some(link) => write!(text, "\n{}\n", said!("letter-end", link = link)),
            None => write!(text, "\n{}\n", said!("letter-choose")),
        };
        text
    }

    fn html(&self, head: &Text, parts: &[(Text, Vec<Text>)], language: Language) -> String {
        let mut below = String::new();
        for (title, lines) in parts.iter().filter(|(_, lines)| !lines.is_empty()) {
            let _ = write!(below, "<h2>{}</h2><ul>", escaped(&title.to_string()));
            for line in lines {
                let _ = write!(below, "<li>{}</li>", escaped(&line.to_string()));
            }
            below.push_str("</ul>");
        }
        if let Some(place) = self.place {
            below += &html::link(place, &said!("letter-open"));
        }
        below += &match self.end {
            Some(end) => html::link(end, &said!("letter-end-short")),
            None => html::paragraph(&said!("letter-choose")),
        };
        html::page(language, head, &below)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_kennel_wrote_is_text_in_html() {
        let page = Page {
            kennel: "A & B <i>",
            today: "2026-02-01".parse().unwrap(),
            place: Some("https://kennel.example/#/in/x"),
            end: Some("https://kennel.example/letters/x"),
        };
        let head = Text::verbatim("A & B <i>\"");
        let parts = [(Text::verbatim("Late"), vec![Text::verbatim("<script>")])];
        let html = page.html(&head, &parts, Language::English);
        assert!(html.contains("<h1>A &amp; B &lt;i&gt;&quot;</h1>"), "{html}");
        assert!(html.contains("<li>&lt;script&gt;</li>") && !html.contains("<script>"), "{html}");
        assert!(html.contains("href=\"https://kennel.example/letters/x\""), "{html}");
    }
}
