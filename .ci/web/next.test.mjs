// Walks what the bench says to look at next.
import assert from "node:assert/strict";
import { test } from "node:test";
import { as, jobCalled } from "./bench.mjs";
import { base, long, look, signIn, sit } from "./walking.mjs";

for (const [width, scheme] of long ? [[820, "light"], [360, "dark"]] : [[360, "dark"]]) {
  test(`what to look at next, why, and each caution before its step (${width} px)`, async () => {
    const { context, page, wrong } = await sit(width, scheme);
    // A tablet is slower than what tests run on.
    if (width === 820) await (await context.newCDPSession(page)).send("Emulation.setCPUThrottlingRate", { rate: 2 });
    await signIn(page, "cleo");
    await page.goto(`${base}/s/jobs/${await jobCalled(await as("cleo"), /Rattle at the top end/)}`);
    const looks = page.locator(".look-next .looks > li");
    await looks.first().waitFor();
    await page.getByText(/from the chain guide runs down into the chain tunnel/).first().waitFor();
    await page.locator(".look-next summary", { hasText: "more look" }).click();
    await page.locator(".look-next summary", { hasText: "Order of coming off" }).click();
    await look(page, `look-next-${width}-${scheme}`);
    // A caution stands before what it warns of: nothing of its look's doing, nor its step, comes first.
    const late = await page.locator(".look-next .caution").evaluateAll((all) => all.filter((c) => {
      const item = c.closest("li");
      if (!item) return false;
      const doing = c.parentElement === item && item.closest(".steps") ? item.querySelector(":scope > span") : item.querySelector(":scope > p:not(.caution, .why, .hint)");
      return doing && (doing.compareDocumentPosition(c) & Node.DOCUMENT_POSITION_FOLLOWING) !== 0;
    }).map((c) => c.textContent));
    assert.deepEqual(late, []);
    assert.ok((await page.locator(".look-next li .caution").count()) > 1, "no caution was seen");
    // One touch from the look to the finding of what it shows.
    const seen = looks.first().getByRole("button").first();
    const part = await seen.innerText();
    await seen.click();
    assert.equal(await page.locator(".picked b").innerText(), part);
    assert.deepEqual(wrong, []);
    await context.close();
  });
}
