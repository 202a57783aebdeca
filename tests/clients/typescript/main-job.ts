// Carries one litter from the mating to go-home, with a client generated from the document.

import assert from "node:assert/strict";
import { setTimeout } from "node:timers/promises";
import createClient from "openapi-fetch";
import type { components, paths } from "./generated/denwright.js";

const baseUrl = process.argv[2] ?? "http://127.0.0.1:8080";
const day = 24 * 60 * 60 * 1000;

/** A time so many days ago, as the service takes it. */
const daysAgo = (days: number): string => new Date(Date.now() - days * day).toISOString();
/** The day of it. */
const dateOf = (time: string): string => time.slice(0, 10);

/** What a request gave, or its problem as an error. */
async function must<T>(
  answer: Promise<{ data?: T; error?: unknown; response: Response }>,
): Promise<T> {
  const { data, error, response } = await answer;
  if (data === undefined) {
    throw new Error(`${response.status} ${response.url}: ${JSON.stringify(error)}`);
  }
  return data;
}

async function untilReady(): Promise<void> {
  for (let attempt = 0; attempt < 300; attempt += 1) {
    const answer = await fetch(`${baseUrl}/health/ready`).catch(() => undefined);
    if (answer?.ok) return;
    await setTimeout(100);
  }
  throw new Error(`${baseUrl} does not answer`);
}

await untilReady();
const api = createClient<paths>({ baseUrl });

// People: sign up, log in, found the kennel.
const email = "maren@example.org";
const password = "a long pass phrase";
await must(api.POST("/v1/people", { body: { name: "Maren Holt", email, password } }));
const session = await must(api.POST("/v1/auth/login", { body: { email, password } }));
api.use({
  onRequest({ request }) {
    request.headers.set("Authorization", `Bearer ${session.access_token}`);
    return request;
  },
});
const kennel = await must(
  api.POST("/v1/kennels", { body: { name: "Larkfell", time_zone: "Europe/Berlin" } }),
);
const kennel_id = kennel.id;
const path = { kennel_id };

// Dogs. A repeat with the same key is the same dog.
const juno: components["schemas"]["Dog"] = {
  name: "Juno",
  sex: "female",
  born_on: "2022-03-04",
  breed: "Labrador Retriever",
  adult_weight_g: 28_000,
  residence: "here",
};
const once = { path, header: { "Idempotency-Key": "juno-1" } };
const dam = await must(api.POST("/v1/kennels/{kennel_id}/dogs", { params: once, body: juno }));
const again = await must(api.POST("/v1/kennels/{kennel_id}/dogs", { params: once, body: juno }));
assert.equal(again.id, dam.id);
// A change from the version that was seen; from one that is gone it is refused.
const ofDam = { kennel_id, dog_id: dam.id };
const seen = await api.GET("/v1/kennels/{kennel_id}/dogs/{dog_id}", { params: { path: ofDam } });
const rename = () =>
  api.PATCH("/v1/kennels/{kennel_id}/dogs/{dog_id}", {
    params: { path: ofDam, header: { "If-Match": seen.response.headers.get("ETag") ?? "" } },
    body: { call_name: "Ju", colour: null },
    headers: { "Content-Type": "application/merge-patch+json" },
  });
const renamed = await must(rename());
assert.deepEqual([renamed.call_name, renamed.name], ["Ju", "Juno"]);
assert.equal((await rename()).response.status, 412);

// A pedigree from a file: tried first, then done.
const file = "id,name,sex,born_on,sire,dam\nA1,Ada,F,2021-04-03,B7,B9\nB7,Rex,M,2018,,\n";
for (const dry_run of [true, false]) {
  const taken = await must(
    api.POST("/v1/kennels/{kennel_id}/imports/{kind}", {
      params: { path: { ...path, kind: "dogs" }, query: { dry_run } },
      body: file,
      bodySerializer: (text) => text,
      headers: { "Content-Type": "text/csv" },
    }),
  );
  assert.equal(taken.created, 3);
}

const sire = await must(
  api.POST("/v1/kennels/{kennel_id}/dogs", {
    params: { path },
    body: { name: "Castor", sex: "male", born_on: "2020", residence: "elsewhere" },
  }),
);

// Heat, mating, litter.
const heat = await must(
  api.POST("/v1/kennels/{kennel_id}/heats", {
    params: { path },
    body: { dog_id: dam.id, began_on: dateOf(daysAgo(130)) },
  }),
);
const mating = await must(
  api.POST("/v1/kennels/{kennel_id}/matings", {
    params: { path },
    body: {
      dam_id: dam.id,
      sire_id: sire.id,
      heat_id: heat.id,
      status: "done",
      method: "natural",
      ties: [{ happened_at: daysAgo(119) }, { happened_at: daysAgo(117) }],
    },
  }),
);
const litter = await must(
  api.POST("/v1/kennels/{kennel_id}/litters", {
    params: { path },
    body: { dam_id: dam.id, sire_id: sire.id, mating_id: mating.id, name: "F litter" },
  }),
);
const ofLitter = { path: { kennel_id, litter_id: litter.id } };

// The night, eight weeks ago.
const collars = ["green", "red", "blue", "yellow"];
const born: components["schemas"]["KeptBirth"][] = [];
for (const [index, collar] of collars.entries()) {
  born.push(
    await must(
      api.POST("/v1/kennels/{kennel_id}/litters/{litter_id}/births", {
        params: ofLitter,
        body: {
          born_at: daysAgo(56 - index / 24),
          sex: index % 2 === 0 ? "female" : "male",
          collar,
          weight_g: 400 + 10 * index,
          presentation: "head_first",
          outcome: "alive",
          placenta: "passed",
        },
      }),
    ),
  );
}
assert.deepEqual(
  born.map((birth) => birth.ordinal),
  [1, 2, 3, 4],
);

// Daily weights: a good tenth more each day at first, doubled within ten days.
const weightAfter = (days: number): number => Math.round(420 + 42 * days + 1.2 * days ** 2);
for (const birth of born) {
  for (const days of [55, 54, 52, 49, 45, 42, 38, 35, 28, 21, 14, 7, 2, 1]) {
    await must(
      api.POST("/v1/kennels/{kennel_id}/dogs/{dog_id}/weights", {
        params: { path: { kennel_id, dog_id: birth.dog_id } },
        body: { measured_at: daysAgo(days), weight_g: weightAfter(56 - days) },
      }),
    );
  }
}

// What the vet and the kennel did, for the whole litter at once.
const dog_ids = born.map((birth) => birth.dog_id);
for (const [kind, days] of [
  ["worming", 42],
  ["worming", 28],
  ["vaccination", 8],
  ["microchip", 8],
] as const) {
  await must(
    api.POST("/v1/kennels/{kennel_id}/health-events", {
      params: { path },
      body: { dog_ids, kind, given_at: daysAgo(days) },
    }),
  );
}

// How they grow, what is due, and whether they may go.
const growth = await must(
  api.GET("/v1/kennels/{kennel_id}/litters/{litter_id}/growth", { params: ofLitter }),
);
assert.deepEqual(
  growth.pups.map((grown) => grown.last?.weight_g),
  collars.map(() => weightAfter(55)),
);
assert.deepEqual(growth.losing, []);
const due = await must(api.GET("/v1/kennels/{kennel_id}/due", { params: { path } }));
assert.ok(due.items.some((stop) => stop.dogs.some((dog) => dog_ids.includes(dog.dog_id))));
const readiness = await must(
  api.GET("/v1/kennels/{kennel_id}/litters/{litter_id}/readiness", { params: ofLitter }),
);
assert.equal(readiness.pups.length, 4);
for (const check of readiness.checks) {
  assert.ok(["met", "unmet", "unknown"].includes(check.result) && check.detail && check.source);
}

// What is printed.
const booklet = await must(
  api.GET("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet.pdf", {
    params: { path: { kennel_id, dog_id: dog_ids[0] ?? "" } },
    parseAs: "arrayBuffer",
  }),
);
assert.match(new TextDecoder().decode(booklet.slice(0, 5)), /^%PDF-/);

// A buyer, a reservation that nobody else can have, and hand-over.
const pup = born[0]?.dog_id ?? "";
const buyer = await must(
  api.POST("/v1/kennels/{kennel_id}/buyers", {
    params: { path },
    body: { name: "Ottilie Marsh", joined_on: dateOf(daysAgo(90)), wishes: { sex: "female" } },
  }),
);
const reservation: components["schemas"]["Placement"] = {
  dog_id: pup,
  buyer_id: buyer.id,
  kind: "sale",
  stage: "reserved",
  price_minor: 180_000,
  currency: "EUR",
};
const placed = await api.POST("/v1/kennels/{kennel_id}/placements", {
  params: { path },
  body: reservation,
});
const placement = await must(Promise.resolve(placed));
const second = await api.POST("/v1/kennels/{kennel_id}/placements", {
  params: { path },
  body: reservation,
});
assert.equal(second.response.status, 409);
assert.match(second.error?.detail ?? "", /reserved/);
await must(
  api.POST("/v1/kennels/{kennel_id}/placements/{placement_id}/payments", {
    params: { path: { kennel_id, placement_id: placement.id } },
    body: { kind: "deposit", amount_minor: 30_000, currency: "EUR", paid_on: dateOf(daysAgo(5)) },
  }),
);
const ofPlacement = {
  path: { kennel_id, placement_id: placement.id },
  header: { "If-Match": placed.response.headers.get("ETag") ?? "" },
};
const handOver = () =>
  api.PATCH("/v1/kennels/{kennel_id}/placements/{placement_id}", {
    params: ofPlacement,
    body: { stage: "handed_over" },
    headers: { "Content-Type": "application/merge-patch+json" },
  });
// Too early: what is missing is told, check by check.
const early = await handOver();
assert.equal(early.response.status, 422);
const [refused, ...missing] = early.error?.errors ?? [];
assert.equal(refused?.pointer, "/stage");
assert.ok(missing.length > 0);
assert.ok(missing.every((fault) => fault.pointer.startsWith("#readiness/") && fault.detail));

// The vet advised an early move: an owner sets aside what is left, with the reason.
const ofPup = { path: { kennel_id, dog_id: pup } };
const home = await must(
  api.GET("/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness", { params: ofPup }),
);
for (const check of home.checks.filter((check) => check.result !== "met")) {
  await must(
    api.POST("/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness-overrides", {
      params: ofPup,
      body: { rule: check.rule, reason: "The veterinarian advised an early move; see the letter." },
    }),
  );
}
const gone = await must(handOver());
assert.equal(gone.stage, "handed_over");
const moved = await must(
  api.GET("/v1/kennels/{kennel_id}/dogs/{dog_id}", { params: ofPup }),
);
assert.equal(moved.residence, "elsewhere");

// Faults come with their places.
const wrong = await api.POST("/v1/kennels/{kennel_id}/dogs", {
  params: { path },
  body: { residence: "here", born_on: "2026-02-30" },
});
assert.equal(wrong.response.status, 422);
assert.deepEqual(
  wrong.error?.errors.map((fault) => fault.pointer),
  ["/born_on"],
);

// And all of it is in the log.
const log = await must(api.GET("/v1/kennels/{kennel_id}/changes", { params: { path } }));
// The same address gives a live stream of text to those who ask for it.
assert.ok(typeof log !== "string");
assert.ok(log.items.length > 30 && log.items.some((change) => change.record === "placement"));

console.log(`main job done: ${born.length} pups, ${log.last_sequence} changes`);
