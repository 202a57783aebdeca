// A dam: why her litter is due when it is, a reading that is refused and mended, and her check after a birth.
import assert from "node:assert/strict";
import { far, picture, show, shownAfter, measured } from "./tools.mjs";

/** @param litters `coming`: the litter expected, `young`: the youngest born */
export async function dam(page, kennel, token, litters) {
  const of = async (id) => (await far.get(`${kennel}/litters/${id}`, token)).dam_id;
  const [expecting, nursing] = [await of(litters.coming), await of(litters.young)];
  await show(page, `#/dam/${expecting}`, ".bars");
  const due = await far.get(`${kennel}/litters/${litters.coming}/due-window`, token);
  assert.equal(await page.locator(".bars li").count(), due.chance_by_day.filter((day) => day.chance >= 0.005).length);
  await page.locator("summary", { hasText: `What it rests on (${due.evidence.length})` }).click();
  await page.getByText(due.evidence[0].source).first().waitFor();

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
  const check = page.locator(".fold", { hasText: "Write how she is" });
  await check.locator("summary").click();
  await check.locator("input").fill("38,9");
  await check.locator("button", { hasText: /^eats$/ }).click();
  await check.locator("button", { hasText: "restless" }).click();
  measured("a check of the dam, ms from tap to shown", await shownAfter(page, ".fold[open] button.main", ".undo button"), 250);
  const line = page.locator("section li", { hasText: "38.9 °C · eats · restless" });
  await line.waitFor();
  await picture(page, "dam-phone", true);
  await page.locator(".undo button").click();
  await line.waitFor({ state: "detached" });
}
