//! The statements that the service runs for a request, as Postgres logs them, written down as a script
//! for pgbench.

use super::client::Outcome;
use std::{fs, path::Path};

/// Begins each line of the log, so that statements of several lines stay whole.
pub const LOG_PREFIX: &str = "~%p~";

/// One statement with the values that it was run with.
struct Statement {
    text: String,
    values: Vec<Option<String>>,
}

/// A script for pgbench and the values of its variables.
pub struct Script {
    pub text: String,
    pub variables: Vec<(String, String)>,
    /// Statements in it.
    pub statements: usize,
}

/// The length of the log, to read on from there.
pub fn log_length(log: &Path) -> Outcome<u64> {
    Ok(fs::metadata(log)?.len())
}

/// What was run since the log had this length, as a script whose variables begin with `prefix`.
///
/// A row's own id, given as `fresh`, is new at each run.
pub fn script_since(log: &Path, length: u64, prefix: &str, fresh: Option<&str>) -> Outcome<Script> {
    let text = fs::read(log)?;
    let text =
        String::from_utf8_lossy(text.get(length as usize..).unwrap_or_default()).into_owned();
    let statements = statements(&text);
    let mut script =
        Script { text: String::new(), variables: Vec::new(), statements: statements.len() };
    if fresh.is_some() {
        script.text.push_str("\\set fresh random(1, 900000000000000000)\n");
    }
    for statement in &statements {
        script.add(statement, prefix, fresh);
    }
    Ok(script)
}

impl Script {
    /// The question that stands behind the login in its one statement.
    pub fn bare(&self) -> Outcome<Self> {
        let behind = self.text.split_once("LEFT JOIN LATERAL (").map(|(_login, question)| question);
        let question = behind.and_then(|rest| rest.rsplit_once(") AS r ON true"));
        let (question, _) = question.ok_or("a read of more than one statement")?;
        let (text, variables) = (format!("{question};\n"), self.variables.clone());
        Ok(Self { text, variables, statements: 1 })
    }

    fn add(&mut self, statement: &Statement, prefix: &str, fresh: Option<&str>) {
        let mut text = statement.text.split_whitespace().collect::<Vec<_>>().join(" ");
        // From the last on: $1 is the beginning of $12.
        for (index, value) in statement.values.iter().enumerate().rev() {
            let by = match value {
                None => "NULL".to_owned(),
                Some(value) if Some(value.as_str()) == fresh => {
                    "lpad((:fresh)::text, 32, '0')::uuid".to_owned()
                }
                Some(value) => {
                    let name = format!("{prefix}_{}", self.variables.len());
                    self.variables.push((name.clone(), value.clone()));
                    format!(":{name}")
                }
            };
            text = text.replace(&format!("${}", index + 1), &by);
        }
        self.text.push_str(&text);
        self.text.push_str(";\n");
    }
}

/// The statements that a piece of the log tells, in order.
fn statements(log: &str) -> Vec<Statement> {
    let mut found: Vec<Statement> = Vec::new();
    for entry in log.split('~').skip(2).step_by(2) {
        let entry = entry.trim();
        if let Some(text) = entry.strip_prefix("LOG:  statement: ") {
            // Sent as one text without values, which ours never hold a semicolon in.
            let each = text.split(';').map(str::trim).filter(|text| !text.is_empty());
            found.extend(each.map(|text| Statement { text: text.to_owned(), values: Vec::new() }));
        } else if let Some(rest) = entry.strip_prefix("LOG:  execute ") {
            let text = rest.split_once(": ").map_or(rest, |(_name, text)| text);
            found.push(Statement { text: text.to_owned(), values: Vec::new() });
        } else if let (Some(list), Some(last)) =
            (entry.strip_prefix("DETAIL:  parameters: "), found.last_mut())
        {
            last.values = values(list);
        }
    }
    found
}

/// Reads `$1 = 'text', $2 = NULL`.
fn values(list: &str) -> Vec<Option<String>> {
    let mut found = Vec::new();
    let mut rest = list;
    while let Some((_, after)) = rest.split_once(" = ") {
        let Some(quoted) = after.strip_prefix('\'') else {
            found.push(None);
            rest = after;
            continue;
        };
        let mut value = String::new();
        let mut letters = quoted.char_indices().peekable();
        let mut end = quoted.len();
        while let Some((at, letter)) = letters.next() {
            match letter {
                // A quote within a value is doubled.
                '\'' if letters.peek().is_some_and(|(_, next)| *next == '\'') => {
                    letters.next();
                    value.push('\'');
                }
                '\'' => {
                    end = at + 1;
                    break;
                }
                other => value.push(other),
            }
        }
        found.push(Some(value));
        rest = quoted.get(end..).unwrap_or_default();
    }
    found
}
