//! A kennel to test with: its owner's login, its members, and rows with sane defaults.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};

use chrono::{DateTime, Duration, NaiveDate, SecondsFormat, Utc};
use chrono_tz::Europe::Berlin;
use denwright::service::server::Settings;
use domain::record::{Kennel as Particulars, Member, Role};
use security::credentials::{self, Signer};
use serde_json::{Map, Value, json};
use store::{keep, kennels, people, scope, sessions};
use tokio_postgres::Client;
use uuid::Uuid;

use super::answer::id;
use super::caller::Caller;
use super::database::{connect, service_url};
use super::service::{self, Service};

/// The password of everybody in the tests.
pub const PASSWORD: &str = "a pass phrase for tests";

/// A kennel, as its owner sees it: requests on it are the owner's.
pub struct Kennel {
    owner: Caller,
}

impl Deref for Kennel {
    type Target = Caller;

    fn deref(&self) -> &Caller {
        &self.owner
    }
}

impl Kennel {
    /// A kennel in Berlin's time zone with one owner, on a service and a database of its own.
    pub async fn new() -> Self {
        Self::with(service::settings()).await
    }

    /// The same, where other tests' kennels are or were: for what asks as people do, and never looks past the walls.
    pub async fn among_others() -> Self {
        Self::on(Arc::new(Service::shared().await)).await
    }

    /// A kennel on a service that is set differently.
    pub async fn with(settings: Settings) -> Self {
        Self::on(Arc::new(Service::start(settings).await)).await
    }

    /// Another kennel on a service that runs already.
    pub async fn on(service: Arc<Service>) -> Self {
        let owner = add_person(&service, "Owner").await;
        let name = "Thornwick Kennel".to_owned();
        let particulars = Particulars::of(name, time_zone(), None, "EUR".to_owned());
        let scope = scope::founding_at_upkeep(owner.person_id, &particulars, now());
        let founded = service.db.within(&scope, async |tx| kennels::found(tx).await);
        let kennel_id = founded.await.expect("a kennel can be founded").id;
        Self { owner: owner.in_kennel(kennel_id) }
    }

    /// The demo kennel with the login of its owner, on a service and a database of its own.
    pub async fn demo() -> Self {
        let service = Arc::new(Service::with_demo().await);
        let nobody = Caller::new(Arc::clone(&service), Uuid::nil(), Uuid::nil(), None);
        let login = json!({ "email": "maren@example.org", "password": demo::PASSWORD });
        let session = nobody.post("/v1/auth/login", login).await.ok();
        let token = session["access_token"].as_str().map(str::to_owned);
        let me = nobody.with_token(token.clone().expect("a token")).get("/v1/me").await.ok();
        let kennel_id = me["kennels"][0]["kennel_id"].as_str().and_then(|id| id.parse().ok());
        let kennel_id = kennel_id.expect("the demo has a kennel");
        Self { owner: Caller::new(service, kennel_id, id(&me["person"]), token) }
    }

    /// A kennel of other people on the same service.
    pub async fn another(&self) -> Self {
        Self::on(Arc::clone(&self.owner.service)).await
    }

    /// Sets what the service takes for now.
    pub fn set_moment(&self, at: DateTime<Utc>) {
        self.owner.service.clock.set(at);
    }

    /// The owner, as a caller.
    pub fn owner(&self) -> &Caller {
        &self.owner
    }

    /// A connection to the database itself, as the role that owns it and is past all walls.
    pub async fn sql(&self) -> Client {
        connect(&self.owner.service.database_url).await
    }

    /// What begins a transaction of [`Kennel::sql`] that works as the service does for a person of this
    /// role.
    pub fn stand_in(&self, role: Role) -> String {
        let (kennel, person, role) = (self.kennel_id, self.person_id, role.as_str());
        format!(
            "SELECT stand_in('{kennel}', '{person}', '{role}', '{}'); SET LOCAL ROLE denwright_service",
            days_ago(0)
        )
    }

    /// A connection as the role that the service works as, past all of its code.
    pub async fn service_sql(&self) -> Client {
        let sql = connect(&service_url(&self.owner.service.database_url)).await;
        sql.batch_execute("SET ROLE denwright_service").await.expect("it is that role's");
        sql
    }

    /// A new person with a login who belongs to no kennel; relative paths are in this one.
    pub async fn stranger(&self) -> Caller {
        add_person(&self.owner.service, "Stranger").await.in_kennel(self.kennel_id)
    }

    /// A new member with this role.
    pub async fn member(&self, role: Role) -> Caller {
        let person = add_person(&self.owner.service, "Member").await;
        let db = &self.owner.service.db;
        let scope = scope::of_person(db, self.owner.person_id, self.kennel_id, now()).await;
        let member = Member { person_id: person.person_id, role };
        db.within(&scope.expect("the owner is a member"), async |tx| {
            keep::create(tx, &member).await
        })
        .await
        .expect("a member can be added");
        person.in_kennel(self.kennel_id)
    }

    /// A new helper.
    pub async fn helper(&self) -> Caller {
        self.member(Role::Helper).await
    }

    /// A new viewer.
    pub async fn viewer(&self) -> Caller {
        self.member(Role::Viewer).await
    }

    /// A new co-owner who holds half of each of these dogs.
    pub async fn co_owner(&self, dogs: &[Uuid]) -> Caller {
        let co_owner = self.member(Role::CoOwner).await;
        for dog in dogs {
            let half = json!({ "person_id": co_owner.person_id, "numerator": 1, "denominator": 2 });
            self.post(&format!("/dogs/{dog}/shares"), half).await.created();
        }
        co_owner
    }

    /// Posts a row: the defaults, with `fields` over them. Returns it.
    pub async fn add(&self, path: &str, defaults: Value, fields: Value) -> Value {
        self.post(path, merged(defaults, fields)).await.created()
    }

    /// A dog that lives here, with these fields beside.
    pub async fn dog(&self, name: &str, fields: Value) -> Uuid {
        id(&self.add("/dogs", json!({ "name": name, "residence": "here" }), fields).await)
    }

    /// A breeding female of the kennel, four years old, 28 kg.
    pub async fn dam(&self, name: &str) -> Uuid {
        let fields = json!({
            "sex": "female", "born_on": days_ago(4 * 365), "breed": "Labrador Retriever",
            "adult_weight_g": 28_000, "for_breeding": true,
        });
        self.dog(name, fields).await
    }

    /// A breeding male that lives elsewhere, five years old, 32 kg.
    pub async fn sire(&self, name: &str) -> Uuid {
        let fields = json!({
            "sex": "male", "born_on": days_ago(5 * 365), "breed": "Labrador Retriever",
            "adult_weight_g": 32_000, "for_breeding": true, "residence": "elsewhere",
        });
        self.dog(name, fields).await
    }

    /// A heat that began so many days ago.
    pub async fn heat(&self, dam: Uuid, began_days_ago: i64) -> Uuid {
        self.post("/heats", json!({ "dog_id": dam, "began_on": days_ago(began_days_ago) }))
            .await
            .id()
    }

    /// A natural mating that was done so many days ago.
    pub async fn mating(&self, dam: Uuid, sire: Uuid, tied_days_ago: i64) -> Uuid {
        let mating = json!({
            "dam_id": dam, "sire_id": sire, "status": "done", "method": "natural",
            "ties": [{ "happened_at": time_ago(Duration::days(tied_days_ago)) }],
        });
        self.post("/matings", mating).await.id()
    }

    /// A litter of this pair, without a mating, expected until its first birth.
    pub async fn litter(&self, dam: Uuid, sire: Uuid) -> Uuid {
        self.post("/litters", json!({ "dam_id": dam, "sire_id": sire })).await.id()
    }

    /// A live birth so many hours ago, with these fields beside; the whole resource.
    pub async fn birth(&self, litter: Uuid, hours_ago: i64, fields: Value) -> Value {
        let defaults = json!({
            "born_at": time_ago(Duration::hours(hours_ago)), "outcome": "alive",
            "presentation": "head_first", "placenta": "passed",
        });
        self.add(&format!("/litters/{litter}/births"), defaults, fields).await
    }

    /// A litter with so many pups born so many days ago, 400 g each; the litter and the pups' dogs.
    pub async fn born_litter(&self, pups: usize, days_ago: i64) -> (Uuid, Vec<Uuid>) {
        let (dam, sire) = (self.dam("Juno").await, self.sire("Castor").await);
        let litter = self.litter(dam, sire).await;
        let mut dogs = Vec::new();
        for pup in 0..pups {
            let sex = if pup % 2 == 0 { "female" } else { "male" };
            let fields = json!({ "sex": sex, "weight_g": 400, "ordinal": pup + 1 });
            let birth = self.birth(litter, 24 * days_ago, fields).await;
            dogs.push(
                birth["dog_id"].as_str().and_then(|id| id.parse().ok()).expect("a birth has a dog"),
            );
        }
        (litter, dogs)
    }

    /// A weight taken so many hours ago.
    pub async fn weight(&self, dog: Uuid, hours_ago: i64, weight_g: i64) -> Uuid {
        let weight =
            json!({ "measured_at": time_ago(Duration::hours(hours_ago)), "weight_g": weight_g });
        self.post(&format!("/dogs/{dog}/weights"), weight).await.id()
    }

    /// A buyer on the waiting list, with contact data.
    pub async fn buyer(&self, name: &str) -> Uuid {
        let buyer = json!({
            "name": name, "email": "buyer@example.org", "phone": "+49 30 1234", "joined_on": days_ago(30),
        });
        self.post("/buyers", buyer).await.id()
    }

    /// Sets aside every readiness rule that keeps this pup home.
    pub async fn set_aside_all(&self, dog: Uuid) {
        let readiness = self.get(&format!("/dogs/{dog}/readiness")).await.ok();
        let checks = readiness["checks"].as_array().cloned().unwrap_or_default();
        for check in checks.iter().filter(|check| check["result"] != "met") {
            let reason = "Agreed with the veterinarian on the telephone.";
            let body = json!({ "rule": check["rule"], "reason": reason });
            self.post(&format!("/dogs/{dog}/readiness-overrides"), body).await.created();
        }
    }

    /// The body of a sale of this pup to this buyer, reserved.
    pub fn reservation(dog: Uuid, buyer: Uuid) -> Value {
        json!({
            "dog_id": dog, "buyer_id": buyer, "kind": "sale", "stage": "reserved",
            "price_minor": 180_000, "currency": "EUR",
        })
    }
}

/// Writes a person and signs a token for them, past the slow password of a login.
async fn add_person(service: &Arc<Service>, name: &str) -> Caller {
    static HASH: OnceLock<String> = OnceLock::new();
    let hash = HASH.get_or_init(|| credentials::hash_password(PASSWORD).expect("a hash"));
    let email = format!("{}@example.org", Uuid::now_v7().simple());
    let person = people::add(&service.db, name, &email, hash, true).await;
    let person = person.expect("a person can be added");
    let token = session(service, person.id).await;
    Caller::new(Arc::clone(service), Uuid::nil(), person.id, Some(token))
}

/// The access token of a new session, past the slow password of a login.
pub async fn session(service: &Service, person_id: Uuid) -> String {
    let keys =
        sessions::signing_keys(&service.db, &[]).await.expect("the service has made its keys");
    let hash = credentials::hash_secret(&credentials::new_secret(""));
    let until = Utc::now() + Duration::days(1);
    let subject = sessions::begin(&service.db, person_id, 0, &hash, until).await;
    let subject = subject.expect("a session begins");
    let token = Signer::new(keys, Duration::minutes(15)).sign(subject, Utc::now());
    token.expect("there is a key")
}

/// `fields` over `defaults`.
fn merged(defaults: Value, fields: Value) -> Value {
    let members = |value: Value| match value {
        Value::Object(members) => members,
        Value::Null => Map::new(),
        other => panic!("{other} is no object of fields"),
    };
    let mut all = members(defaults);
    all.extend(members(fields));
    Value::Object(all)
}

/// The moment at which each test begins, and stays until it sets another: noon of a day in winter, with
/// no change of clocks in the three months before or the month after.
pub fn now() -> DateTime<Utc> {
    "2027-02-10T11:00:00Z".parse().expect("a time")
}

/// The time zone of the kennels.
pub fn time_zone() -> String {
    "Europe/Berlin".to_owned()
}

/// The kennel's day so many days ago.
pub fn days_ago(days: i64) -> NaiveDate {
    now().with_timezone(&Berlin).date_naive() - Duration::days(days)
}

/// The time so long ago, to the second, as a body takes it.
pub fn time_ago(ago: Duration) -> String {
    (now() - ago).to_rfc3339_opts(SecondsFormat::Secs, true)
}
