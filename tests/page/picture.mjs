// node picture.mjs FILE.png: the page as it opens, once its light is known.
import { Workshop } from "./workshop.mjs";

const ends = [];
const shop = await Workshop.open({ after: (end) => ends.push(end) });
await shop.known();
await shop.page.waitForTimeout(1500);
await shop.page.screenshot({ path: process.argv[2] });
for (const end of ends) await end();
