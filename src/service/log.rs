//! What goes to the log, and what never does.

use super::server::ServerError;
use crate::config::LogFormat;
use std::io;

/// Begins to log, as the filter says.
///
/// # Errors
/// When the filter cannot be read.
pub fn log_to_stderr(filter: &str, format: LogFormat) -> Result<(), ServerError> {
    use tracing_subscriber::EnvFilter;
    let told = filter;
    let filter = EnvFilter::try_new(filter).map_err(|error| ServerError::Log(error.to_string()))?;
    // These tell, when asked for much, what passes through them: statements with their values, heads of
    // requests, letters.
    let mut quiet = filter;
    for source in [
        "tokio_postgres",
        "actix_http",
        "actix_web::types",
        "actix_router",
        "hyper",
        "hyper_util",
        "reqwest",
        "lettre",
        "h2",
    ] {
        let is_quiet = |level| told.contains(&format!("{source}={level}"));
        if ["off", "error", "warn"].into_iter().any(is_quiet) {
            continue;
        }
        let directive = format!("{source}=info").parse();
        quiet = quiet.add_directive(directive.map_err(|_| ServerError::Log(String::new()))?);
    }
    let log = tracing_subscriber::fmt()
        .with_env_filter(quiet)
        .with_writer(io::stderr)
        // A line that cannot be written, as on a full disk, must not end the request it tells of.
        .log_internal_errors(false);
    match format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().flatten_event(true).with_span_list(false).init(),
    }
    Ok(())
}

/// Has a panic tell where it was, and not what it says: that may hold what a client sent.
pub(super) fn tell_panics_by_place() {
    std::panic::set_hook(Box::new(|panic| match panic.location() {
        Some(place) => tracing::error!(%place, "a fault of ours: panicked"),
        None => tracing::error!("a fault of ours: panicked"),
    }));
}
