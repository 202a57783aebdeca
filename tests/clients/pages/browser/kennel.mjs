// The kennel: somebody invited, a rule set and given up, a calendar link, statements of co-owners, a file tried before it is taken in, and a
// second factor that one sets up and signs in with.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { code, secondFactor } from "./people.mjs";
import { drawn, far, looked, maren, opened, phone, picture, show, signIn } from "./tools.mjs";

export async function kennelPage(page, kennel, token) {
  await show(page, "#/kennel", "#plans");
  const invite = await opened(page, "Invite somebody");
  await invite.locator("input[type=email]").fill("ines@example.org");
  await invite.locator("select").first().selectOption("viewer");
  await invite.locator("form button.main").first().click();
  const link = await invite.locator("input.long").inputValue();
  const { token: secret } = await far.post(`${kennel}/invitations`, { email: "wenda@example.org", role: "helper" }, token);

  await page.getByLabel(/^Search in \d+ rules/).fill("reservation");
  const rule = page.locator("#rules ~ ul > li").first();
  await rule.locator("summary").click();
  await rule.getByLabel(/^The kennel’s value/).fill("9999999");
  await rule.getByLabel(/^Who set it/).fill("Maren, after last summer");
  await rule.locator("button.main").click();
  await rule.locator(".field .warn").waitFor();
  await rule.getByLabel(/^The kennel’s value/).fill("21");
  await rule.locator("button.main").click();
  await page.getByLabel(/^Search in \d+ rules/).fill("");
  const own = page.locator("#rules ~ ul > li", { hasText: "21 days" });
  await own.waitFor();
  await own.locator("summary").click();
  await own.getByText("Back to the usual value").click();
  await own.waitFor({ state: "detached" });

  await page.getByLabel("What it is for").fill("Kitchen");
  await page.locator("#calendars ~ form").getByLabel("Chores, one entry a day").uncheck();
  await page.getByText("Make a link").click();
  const feed = await page.locator("#calendars ~ form input[readonly]").inputValue();
  const days = await (await fetch(feed)).text();
  assert.match(days, /^BEGIN:VCALENDAR/);
  assert.ok(days.includes("CATEGORIES:Health") && !days.includes("CATEGORIES:Chores"), "it shows what was ticked");

  await statements(page, kennel, token);

  const take = await opened(page, "Take a file in");
  const file = (text) => ({ name: "dogs.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
  await take.locator("input[type=file]").setInputFiles(file("id,name,sex\n1,Juniper of the Test,female\n2,Rowan of the Test,neither\n"));
  await take.locator("button.main").click();
  await take.locator("[role=alert] li").first().waitFor();
  await take.locator("input[type=file]").setInputFiles(file("id,name,sex\n1,Juniper of the Test,female\n2,Rowan of the Test,male\n"));
  await take.locator("button.main").click();
  await take.getByText("2 would be added").waitFor();
  const dogs = async () => (await far.get(`${kennel}/dogs?limit=500`, token)).items.filter((dog) => dog.name?.endsWith("of the Test")).length;
  assert.equal(await dogs(), 0, "a trial writes nothing");
  await take.getByText("Take it in").click();
  await take.getByText("2 added").waitFor();
  assert.equal(await dogs(), 2);
  await picture(page, "kennel-phone", true);
  await ending(page);
  await joined(link);
  await newcomer(link.replace(/[^/]+$/, secret));
}

/** What each holder's part comes to, line by line, and all of it as a table. */
async function statements(page, kennel, token) {
  const from = "2020-01-01";
  await page.locator("#statements ~ .row input").first().fill(from);
  const { items, last_on: to } = await far.get(`${kennel}/statements?first_on=${from}`, token);
  const holders = page.locator("#statements ~ ul > li");
  await holders.nth(new Set(items.map((one) => one.holder_id)).size - 1).waitFor();
  const own = await far.get(`${kennel}/statements/${items[0].holder_id}?first_on=${from}&limit=500`, token);
  await holders.first().locator("summary").click();
  await holders.first().locator("li", { hasText: "of" }).last().waitFor();
  assert.equal(await holders.first().locator("h3:last-of-type ~ ul > li").count(), own.items.length);
  await looked(page, "statements");
  await drawn(page, "kennel-statements");
  const [file] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "All as a table (CSV)" }).click()]);
  const rows = readFileSync(await file.path(), "utf8").trim().split(/\r?\n/);
  assert.equal(file.suggestedFilename(), `statements-${from}-${to}.csv`);
  assert.equal(rows.length, 1 + items.length, "a line of names, and one a holder and currency");
}

/** Whoever is invited and has no login makes one at the link, though sign-up is closed; and changes the password. */
async function newcomer(link) {
  const page = await phone({ serviceWorkers: "block" });
  await page.goto(link);
  const make = await opened(page, "No login yet");
  await looked(page, "new login");
  await make.locator("input[name=new_name]").fill("Wenda Marlow");
  await make.locator("input[name=new_email]").fill("somebody.else@example.org");
  await make.locator("input[name=new_password]").fill("a thimble of moss");
  await make.locator("button.main").click();
  await make.locator("[role=alert]", { hasText: "is for another address" }).waitFor();
  await make.locator("input[name=new_email]").fill("wenda@example.org");
  await make.locator("button.main").click();
  await page.getByRole("button", { name: "Join" }).click();
  await page.locator("h1", { hasText: "Larkfell" }).waitFor();

  await show(page, "#/kennel", "#security");
  assert.equal(await page.locator("#statements").count(), 0, "a helper sees no money");
  const change = await opened(page, "Change the password");
  await change.locator("input").first().fill("a thimble of moss");
  await change.locator("input").last().fill("two thimbles of moss");
  await change.locator("button.main").click();
  await change.locator("[role=status]", { hasText: "Changed." }).waitFor();
  // Here one stays signed in, also when the page is opened anew.
  await page.reload();
  await page.locator("#security").waitFor();
  assert.equal(await page.locator("input[name=password]").count(), 0);
  const entry = { email: "wenda@example.org", password: "two thimbles of moss" };
  await far.post("/v1/auth/login", entry);
  await leaves(page, entry);
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

/** Whoever deletes their login is signed out, and cannot sign in any more. */
async function leaves(page, entry) {
  const fold = await opened(page, "Delete your login");
  await fold.locator("input").first().fill("not the password");
  await fold.locator("button.main").click();
  await fold.locator("[role=status]", { hasText: "password" }).waitFor();
  await looked(page, "leaving");
  await fold.locator("input").first().fill(entry.password);
  await fold.locator("button.main").click();
  await page.locator("input[name=password]").waitFor();
  await page.locator("input[name=email]").fill(entry.email);
  await page.locator("input[name=password]").fill(entry.password);
  await page.locator("form button.main").click();
  await page.locator("form .warn").waitFor();
}

/** A kennel that is set to end says so on each page, and goes on when an owner takes it back. */
async function ending(page) {
  const fold = await opened(page, "Delete the kennel");
  const [name, password] = [fold.locator("form input").first(), fold.locator("form input[type=password]")];
  await name.fill("Larkfell");
  await password.fill(maren.password);
  await fold.getByText("Delete the kennel in 30 days").click();
  await fold.locator("form [role=status]", { hasText: "letter by letter" }).waitFor();
  await name.fill("Larkfell Kennel");
  await fold.getByText("Delete the kennel in 30 days").click();
  await page.getByText("This kennel is deleted on").first().waitFor();
  await looked(page, "a kennel that ends");
  await picture(page, "kennel-ends");
  await show(page, "#/", ".banner [data-ends]");
  await show(page, "#/kennel", "#plans");
  await page.getByText("Take it back").click();
  await page.locator(".banner [data-ends]").waitFor({ state: "detached" });
}

/** Whoever is invited signs in at the link, and joins. */
async function joined(link) {
  const page = await phone({ serviceWorkers: "block" });
  await page.goto(link);
  await page.locator("input[name=email]").waitFor();
  await page.locator("input[name=email]").fill("ines@example.org");
  await page.locator("input[name=password]").fill(maren.password);
  await page.locator("form button.main").click();
  await page.getByRole("button", { name: "Join" }).click();
  await page.locator("h1", { hasText: "Larkfell" }).waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

export async function ownSecondFactor() {
  const pia = { ...maren, email: "pia@example.org" };
  const page = await phone({ serviceWorkers: "block" });
  await signIn(page, pia);
  await show(page, "#/kennel", "#security");
  const begin = await opened(page, "Add a second factor");
  await begin.locator("input").fill("not her password");
  await begin.locator("button.main").click();
  await begin.locator("[role=status]", { hasText: /\w/ }).waitFor();
  await begin.locator("input").fill(pia.password);
  await begin.locator("button.main").click();
  const secret = await begin.locator("input[readonly]").inputValue();
  // A code is good once: the earlier one here leaves this one for signing in.
  await begin.locator("input:not([readonly])").fill(code(secret, -1));
  await begin.locator("button.main").click();
  await begin.locator(".codes li").first().waitFor();
  await begin.getByText("Done").click();
  await page.getByText("A second factor is on").waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
  await secondFactor(pia, secret);
}
