// A kennel that reads pounds and ounces, and degrees Fahrenheit: its pages do, too.
import assert from "node:assert/strict";
import { far, keep, opened, picture, show, stored } from "./tools.mjs";

async function chosen(page, weight, temperature) {
  await show(page, "#/kennel", "#settings");
  const form = await opened(page, "Units");
  await form.getByLabel("Weights").selectOption(weight);
  await form.getByLabel("Temperatures").selectOption(temperature);
  await keep(form);
  await stored(page, form);
  return form;
}

/** Another of the household chooses meanwhile: the open form follows, and what is said in it stays. */
async function elsewhere(page, form, kennel, token) {
  const { version } = await far.get(kennel, token);
  await far.send("PATCH", kennel, { weight_unit: "kg" }, token, { "Content-Type": "application/merge-patch+json", "If-Match": `"${version}"` });
  const weights = form.getByLabel("Weights");
  await page.waitForFunction((select) => select.value === "kg", await weights.elementHandle());
  assert.match(await form.locator(".told").textContent(), /^Kept/);
  await weights.selectOption("lb_oz");
  await keep(form);
  await stored(page, form);
  assert.equal((await far.get(kennel, token)).weight_unit, "lb_oz");
}

export async function units(page, kennel, token, { coming, young }) {
  await elsewhere(page, await chosen(page, "lb_oz", "f"), kennel, token);
  await show(page, `#/weigh/${young}`, ".pad");
  await page.locator(".beside", { hasText: "oz" }).waitFor();
  await page.locator(".typed", { hasText: "oz" }).waitFor();
  await picture(page, "weigh-ounces");
  await show(page, `#/night/${coming}`, ".tap-temperature");
  await page.locator(".tap-temperature").click();
  await page.getByLabel("The dam’s temperature, °F").fill("98,2");
  await page.locator(".panel button.main").click();
  await page.locator(".log", { hasText: "98.2 °F" }).waitFor();
  await page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor();
  const { items } = await far.get(`${kennel}/litters/${coming}/whelping?limit=200`, token);
  const taken = items.map((line) => line.event.temperature_c).filter((celsius) => celsius !== undefined);
  assert.equal(taken.at(-1), 36.78);
  await page.locator(".log button", { hasText: "98.2" }).first().click();
  await page.locator(".panel .deeds button").last().click();
  await chosen(page, "g", "c");
  await show(page, "#/wall", ".tasks");
  await page.locator(".figures, main", { hasText: / g/ }).first().waitFor();
}
