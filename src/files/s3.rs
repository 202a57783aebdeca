//! A store that speaks as S3 does, reached by the program's one HTTP client.

use crate::BlobsError;
use object_store::{
    ObjectStore, Result,
    aws::AmazonS3Builder,
    client::{
        ClientOptions, HttpClient, HttpConnector, HttpError, HttpErrorKind, HttpRequest,
        HttpResponse, HttpService,
    },
    path::Path,
    prefix::PrefixStore,
};
use std::{pin::Pin, sync::Arc, time::Duration};

/// How long one question to the store may take: a file of some tens of megabytes, over a slow line.
const PATIENCE: Duration = Duration::from_secs(120);

/// The store at `s3://BUCKET/FOLDER`.
///
/// # Errors
/// [`BlobsError::Away`] when the address or the variables beside it are not good.
pub fn open(address: &str) -> Result<Arc<dyn ObjectStore>, BlobsError> {
    let rest = address.strip_prefix("s3://").unwrap_or(address);
    let (bucket, folder) = rest.split_once('/').unwrap_or((rest, ""));
    let store = AmazonS3Builder::from_env()
        .with_bucket_name(bucket)
        .with_http_connector(OurClient)
        .build()?;
    Ok(if folder.is_empty() {
        Arc::new(store)
    } else {
        Arc::new(PrefixStore::new(store, Path::from(folder)))
    })
}

/// Makes clients of the kind that the rest of the program uses, instead of a second kind beside it.
#[derive(Debug)]
struct OurClient;

impl HttpConnector for OurClient {
    fn connect(&self, _options: &ClientOptions) -> Result<HttpClient> {
        let client = reqwest::Client::builder().timeout(PATIENCE).build();
        let client = client.map_err(|error| object_store::Error::Generic {
            store: "S3",
            source: Box::new(error),
        })?;
        Ok(HttpClient::new(Asked(client)))
    }
}

#[derive(Debug)]
struct Asked(reqwest::Client);

type Answered<'a> =
    Pin<Box<dyn Future<Output = std::result::Result<HttpResponse, HttpError>> + Send + 'a>>;

impl HttpService for Asked {
    fn call<'asked, 'answered>(&'asked self, request: HttpRequest) -> Answered<'answered>
    where
        'asked: 'answered,
        Self: 'answered,
    {
        Box::pin(async move {
            let (parts, body) = request.into_parts();
            let asked = self
                .0
                .request(parts.method, parts.uri.to_string())
                .headers(parts.headers)
                .body(reqwest::Body::wrap(body))
                .send()
                .await
                .map_err(failed)?;
            let (status, headers) = (asked.status(), asked.headers().clone());
            let bytes = asked.bytes().await.map_err(failed)?;
            let mut answer = HttpResponse::new(bytes.into());
            *answer.status_mut() = status;
            *answer.headers_mut() = headers;
            Ok(answer)
        })
    }
}

/// Whether it may be tried again is told by the kind.
fn failed(error: reqwest::Error) -> HttpError {
    let kind = if error.is_timeout() {
        HttpErrorKind::Timeout
    } else if error.is_connect() {
        HttpErrorKind::Connect
    } else {
        HttpErrorKind::Interrupted
    };
    HttpError::new(kind, error.without_url())
}
