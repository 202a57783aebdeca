//! The kennels that somebody wants to hear of, taken one after the other to look at their alarms.

use crate::{
    Db, StoreError, StoreResult,
    columns::{Shape, Word},
    scope::{self, Scope},
    statement::statement,
};
use chrono::{DateTime, Utc};
use diesel::{
    QueryableByName,
    sql_types::{
        Array, BigInt, Bool, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use domain::{
    advice::Level,
    record::{Kennel, RingChoices, RingWay, Role},
    rings::{Listener, NextLook, PlannedRing, Told, TurnKind},
};
use serde_json::{Value, json};
use uuid::Uuid;

/// A kennel that this instance looks at.
#[derive(Debug, Clone, QueryableByName)]
pub struct Watch {
    /// What shows that it does.
    #[diesel(sql_type = SqlUuid)]
    pub lease: Uuid,
    /// The kennel.
    #[diesel(sql_type = SqlUuid)]
    pub kennel_id: Uuid,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    time_zone: String,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Text)]
    currency: String,
    /// The number of its newest change before it was looked at.
    #[diesel(sql_type = BigInt)]
    pub sequence: i64,
    /// Whose alarms were looked at before.
    #[diesel(sql_type = Array<Text>)]
    pub audiences: Vec<String>,
    /// Whether a webhook is told of alarms.
    #[diesel(sql_type = Bool)]
    pub hooks: bool,
}

/// Whose eyes alarms are seen with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Audience {
    /// Those who see all dogs.
    All,
    /// One co-owner: the person, and their membership.
    CoOwner {
        /// The person.
        person_id: Uuid,
        /// Their membership.
        membership_id: Uuid,
    },
}

impl Audience {
    /// Its word in the database.
    pub fn word(self) -> String {
        match self {
            Self::All => "all".to_owned(),
            Self::CoOwner { membership_id, .. } => membership_id.to_string(),
        }
    }
}

impl Watch {
    /// The kennel's particulars.
    pub fn kennel(&self) -> Kennel {
        let Self { name, time_zone, jurisdiction, currency, .. } = self.clone();
        Kennel::of(name, time_zone, jurisdiction, currency)
    }

    /// The scope in which the dogs that an audience sees are read, and nothing is written.
    pub fn scope(&self, audience: Audience, now: DateTime<Utc>) -> Scope {
        scope::to_ring(self.kennel_id, self.kennel(), self.lease, audience, now)
    }

    /// The scope in which what somebody has to do whom tasks ring is read, and nothing is written.
    pub fn scope_of_tasks(&self, hearer: &Hearer, now: DateTime<Utc>) -> Scope {
        let who = (hearer.person_id, hearer.listener.membership_id, hearer.role);
        scope::for_task_rings(self.kennel_id, self.kennel(), self.lease, who, now)
    }
}

/// Takes kennels whose moment has come by the service's clock, and of those that were woken (`None` for all)
/// the ones that have changed; they are this instance's for so many seconds.
///
/// # Errors
/// When the database is away.
pub async fn claim(
    db: &Db,
    now: DateTime<Utc>,
    woken: Option<Vec<Uuid>>,
    most: i32,
    lease_seconds: i32,
) -> StoreResult<Vec<Watch>> {
    Ok(statement("SELECT * FROM claim_ring_watches($1, $2, $3, $4)")
        .bind::<Timestamptz, _>(now)
        .bind::<Nullable<Array<SqlUuid>>, _>(woken)
        .bind::<Integer, _>(most)
        .bind::<Integer, _>(lease_seconds)
        .load(&mut db.connection().await?)
        .await?)
}

impl Hearer {
    /// The word under which it is kept what they were told of tasks.
    pub fn word_of_tasks(&self) -> String {
        format!("tasks:{}", self.listener.membership_id)
    }
}

/// Somebody who wants to be rung, as they stand now.
#[derive(Debug, Clone)]
pub struct Hearer {
    /// The person.
    pub person_id: Uuid,
    /// Their role.
    pub role: Role,
    /// With whose eyes they see.
    pub audience: Audience,
    /// What they chose, and whether they are on duty.
    pub listener: Listener,
    /// Their devices.
    pub devices: Vec<Uuid>,
}

#[derive(QueryableByName)]
struct HearerRow {
    #[diesel(sql_type = SqlUuid)]
    membership_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Word)]
    role: Role,
    #[diesel(sql_type = Shape)]
    choices: RingChoices,
    #[diesel(sql_type = Array<SqlUuid>)]
    devices: Vec<Uuid>,
    #[diesel(sql_type = Bool)]
    on_duty: bool,
}

/// Who wants to be rung in the kennel.
///
/// # Errors
/// When the database is away.
pub async fn hearers(db: &Db, watch: &Watch, now: DateTime<Utc>) -> StoreResult<Vec<Hearer>> {
    let rows: Vec<HearerRow> = statement("SELECT * FROM ring_listeners($1, $2)")
        .bind::<SqlUuid, _>(watch.lease)
        .bind::<Timestamptz, _>(now)
        .load(&mut db.connection().await?)
        .await?;
    let hearer = |row: HearerRow| {
        let HearerRow { membership_id, person_id, role, choices, devices, on_duty } = row;
        let audience = match role {
            Role::CoOwner => Audience::CoOwner { person_id, membership_id },
            Role::Owner | Role::Helper | Role::Viewer => Audience::All,
        };
        let listener = Listener { membership_id, choices, on_duty };
        Hearer { person_id, role, audience, listener, devices }
    };
    Ok(rows.into_iter().map(hearer).collect())
}

#[derive(QueryableByName)]
struct ToldRow {
    #[diesel(sql_type = Text)]
    audience: String,
    #[diesel(sql_type = SqlUuid)]
    alarm_id: Uuid,
    #[diesel(sql_type = Jsonb)]
    alarm: Value,
    #[diesel(sql_type = Word)]
    level: Level,
    #[diesel(sql_type = Integer)]
    turn: i32,
    #[diesel(sql_type = Bool)]
    seen: bool,
    #[diesel(sql_type = Bool)]
    over: bool,
}

/// An alarm as an audience was told of it, with what webhooks are told.
#[derive(Debug, Clone)]
pub struct ToldOf {
    /// The word of the audience.
    pub audience: String,
    /// How it stood.
    pub told: Told,
    /// What webhooks are told of it.
    pub alarm: Value,
}

/// What was told of the kennel's alarms.
///
/// # Errors
/// When the database is away.
pub async fn told(db: &Db, watch: &Watch) -> StoreResult<Vec<ToldOf>> {
    let rows: Vec<ToldRow> = statement("SELECT * FROM alarms_told($1)")
        .bind::<SqlUuid, _>(watch.lease)
        .load(&mut db.connection().await?)
        .await?;
    let told = |row: ToldRow| {
        let ToldRow { audience, alarm_id, alarm, level, turn, seen, over } = row;
        ToldOf { audience, told: Told { alarm_id, level, turn, seen, over }, alarm }
    };
    Ok(rows.into_iter().map(told).collect())
}

/// What a look has found.
#[derive(Debug, Clone, Default)]
pub struct Look {
    audiences: Vec<String>,
    states: Vec<Value>,
    rings: Vec<Value>,
    events: Vec<Value>,
}

impl Look {
    /// That an audience was looked at, with the alarms that stand differently now.
    pub fn heard(&mut self, audience: &str, states: Vec<(Told, Value)>) {
        self.states.extend(states.into_iter().map(|(state, alarm)| {
            let Told { alarm_id, level, turn, seen, over } = state;
            json!({
                "audience": audience, "alarm_id": alarm_id, "alarm": alarm, "level": level,
                "turn": turn, "seen": seen, "over": over,
            })
        }));
        self.audiences.push(audience.to_owned());
    }

    /// A ring of what an audience is told, at each device where it is a push.
    pub fn ring(
        &mut self,
        (audience, hearer): (&str, &Hearer),
        told: &Told,
        ring: &PlannedRing,
        content: &Value,
    ) {
        let places: Vec<Option<Uuid>> = match ring.way {
            RingWay::Push => hearer.devices.iter().copied().map(Some).collect(),
            RingWay::Mail => vec![None],
        };
        self.rings.extend(places.into_iter().map(|device_id| {
            json!({
                "id": Uuid::now_v7(), "membership_id": ring.membership_id,
                "audience": audience, "alarm_id": told.alarm_id, "turn": told.turn,
                "way": ring.way, "device_id": device_id, "due_at": ring.due_at, "content": content,
            })
        }));
    }

    /// What webhooks are told, by way of the log: what has become of an alarm, and the alarm.
    pub fn event(&mut self, kind: TurnKind, alarm: &Value) {
        self.events.push(json!({ "action": kind, "alarm": alarm }));
    }

    /// How many rings it makes.
    pub fn rings(&self) -> usize {
        self.rings.len()
    }
}

#[derive(QueryableByName)]
struct KeptRow {
    #[diesel(sql_type = Nullable<Bool>)]
    again: Option<bool>,
}

/// Keeps what a look has found and gives the kennel back until its next moment, `None` for until somebody
/// begins to listen; whether it has changed meanwhile.
///
/// # Errors
/// [`StoreError::Busy`] when the lease was over before: nothing is kept, somebody else looks.
pub async fn keep(db: &Db, watch: &Watch, look: Look, next: Option<NextLook>) -> StoreResult<bool> {
    let next_at = next.map_or_else(|| "infinity".to_owned(), |next| next.at.to_rfc3339());
    let row: KeptRow =
        statement("SELECT keep_ring_look($1, $2, $3, ($4)::timestamptz, $5, $6, $7, $8) AS again")
            .bind::<SqlUuid, _>(watch.lease)
            .bind::<BigInt, _>(watch.sequence)
            .bind::<Array<Text>, _>(look.audiences)
            .bind::<Text, _>(next_at)
            .bind::<Bool, _>(next.is_some_and(|next| next.routine))
            .bind::<Jsonb, _>(Value::Array(look.states))
            .bind::<Jsonb, _>(Value::Array(look.rings))
            .bind::<Jsonb, _>(Value::Array(look.events))
            .get_result(&mut db.connection().await?)
            .await?;
    row.again.ok_or_else(|| StoreError::Busy("the look took longer than its lease".to_owned()))
}

/// Gives a kennel back that could not be looked at.
///
/// # Errors
/// When the database is away.
pub async fn put_off(db: &Db, watch: &Watch) -> StoreResult<()> {
    statement("SELECT put_off_ring_look($1)")
        .bind::<SqlUuid, _>(watch.lease)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}
