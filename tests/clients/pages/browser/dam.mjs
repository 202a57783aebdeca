// A dam: why her litter is due when it is and what may go wrong at its birth, a sign of the womb that rings, a reading that
// is refused and mended, her check after a birth, her weeks and whether she may be bred again.
import assert from "node:assert/strict";
import { drawn, far, looked, picture, sent, show, shownAfter, measured } from "./tools.mjs";

/** @param litters `coming`: the litter expected, `young`: the youngest born */
export async function dam(page, kennel, token, litters) {
  const of = async (id) => (await far.get(`${kennel}/litters/${id}`, token)).dam_id;
  const [expecting, nursing] = [await of(litters.coming), await of(litters.young)];
  await show(page, `#/dam/${expecting}`, ".bars");
  const due = await far.get(`${kennel}/litters/${litters.coming}/due-window`, token);
  assert.equal(await page.locator(".bars li").count(), due.chance_by_day.filter((day) => day.chance >= 0.005).length);
  await page.locator("summary", { hasText: `What it rests on (${due.evidence.length})` }).click();
  await page.getByText(due.evidence[0].source).first().waitFor();
  await beforeBirth(page, kennel, token, litters.coming);
  await womb(page, kennel, token, expecting);

  const heat = page.locator(".fold", { hasText: "Add a reading" }).first();
  await heat.locator("summary").click();
  await heat.locator("input[inputmode=decimal]").fill("5000");
  await heat.locator("select").selectOption("ng_per_ml");
  await heat.locator("button.main").click();
  await heat.locator(".field .warn").waitFor();
  assert.equal(await heat.locator("input[inputmode=decimal]").getAttribute("aria-invalid"), "true");
  await picture(page, "dam-refused", true);
  await heat.locator("input[inputmode=decimal]").fill("12,4");
  await heat.locator("button.main").click();
  await page.locator(".heat li", { hasText: "Progesterone: 12.4 ng/ml" }).waitFor();
  assert.equal(await heat.locator(".field .warn").count(), 0);
  // Taken back by one tap more.
  await page.locator(".undo button").click();
  await page.locator(".heat li", { hasText: "Progesterone: 12.4 ng/ml" }).waitFor({ state: "detached" });
  // Written without a network, refused once there is one, and mended where it lies.
  await page.context().setOffline(true);
  await heat.locator("input[inputmode=decimal]").fill("6000");
  await heat.locator("select").selectOption("ng_per_ml");
  await heat.locator("button.main").click();
  await heat.locator(".told", { hasText: "Kept on this device" }).waitFor();
  await page.context().setOffline(false);
  const mend = page.locator(".outbox li[data-state=refused] form");
  await mend.locator("input").fill("6");
  await picture(page, "outbox-mend", true);
  await mend.locator("button").click();
  await page.locator(".heat li", { hasText: "Progesterone: 6.0 ng/ml" }).waitFor();
  // What was half written is there when one comes back.
  await heat.locator("input[inputmode=decimal]").fill("3,3");
  await show(page, "#/", ".cards");
  await show(page, `#/dam/${expecting}`, ".bars");
  await heat.locator("summary").click();
  assert.equal(await heat.locator("input[inputmode=decimal]").inputValue(), "3,3");

  await show(page, `#/dam/${nursing}`, "#matings");
  const weeks = (await far.get(`${kennel}/litters/${litters.young}/dam-health`, token)).puerperium;
  await page.getByText(weeks.involution.usual).waitFor();
  await page.getByText(weeks.calcium_risk.advice).waitFor();
  const again = await far.get(`${kennel}/dogs/${nursing}/breeding-again`, token);
  await page.locator(".again strong", { hasText: again.says }).waitFor();
  for (const ground of again.grounds.filter(({ answer }) => answer !== "yes")) await page.locator(".again li", { hasText: ground.what }).first().waitFor();
  const check = page.locator(".fold", { hasText: "Write how she is" });
  await check.locator("summary").click();
  await check.locator("input").fill("38,9");
  await check.locator("button", { hasText: /^eats$/ }).click();
  await check.locator("button", { hasText: "restless" }).click();
  // What was written before may still be there to take back: that it is kept is told by the foot.
  await sent(page);
  measured("a check of the dam, ms from tap to shown", await shownAfter(page, ".fold[open] button.main", ".outbox .sum button"));
  const line = page.locator("section li", { hasText: "38.9 °C · eats · restless" });
  await line.waitFor();
  await picture(page, "dam-phone", true);
  await page.locator(".undo button").click();
  await line.waitFor({ state: "detached" });
}

/** Each risk, with what it means; and all of them together. */
async function beforeBirth(page, kennel, token, litter) {
  const { risks, plan, kit, on_call: onCall } = await far.get(`${kennel}/litters/${litter}/birth-risks`, token);
  assert.ok(risks.length > 0, "there is something to see");
  const list = page.locator(".risks");
  await list.locator(".alarm").nth(risks.length - 1).waitFor();
  assert.equal(await list.locator(".alarm").count(), risks.length);
  assert.deepEqual(await list.locator("ul li").allTextContents(), [...onCall, ...plan, ...kit]);
  await list.locator(".alarm summary").first().click();
  await list.getByText(risks[0].source).first().waitFor();
}

/** Two taps write a sign, and it rings; taken back, it is over. */
async function womb(page, kennel, token, dam) {
  const ofWomb = async () => (await far.get(`${kennel}/alarms`, token)).items.filter((one) => one.code === "heat.womb_infection" && one.about.dog_id === dam);
  assert.deepEqual(await ofWomb(), []);
  await page.locator(".womb button[aria-expanded]").click();
  await looked(page, "signs of the womb");
  await page.locator(".womb .taps").getByRole("button", { name: "pus or foul discharge" }).click();
  await page.locator(".womb li", { hasText: "pus or foul discharge" }).waitFor();
  await sent(page);
  const [alarm] = await ofWomb();
  await page.locator(".banner .more").click();
  await page.locator(".banner .alarm", { hasText: alarm.what }).first().waitFor();
  await page.locator(".banner .more").click();
  await drawn(page, "dam-womb");
  await page.locator(".undo button").click();
  await page.locator(".womb li").waitFor({ state: "detached" });
  await sent(page);
  assert.deepEqual(await ofWomb(), []);
}
