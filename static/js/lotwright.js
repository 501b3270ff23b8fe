// What every page runs. Each module stands alone and does nothing where its elements are missing.
import { startControls } from "./controls.js";
import { startGauge } from "./gauge.js";
import { startKeys } from "./keys.js";
import { startOutbox } from "./outbox.js";
import { startRows } from "./rows.js";
import { startScanner } from "./scanner.js";

// The outbox comes before keys: a form it has taken is not held back a second time.
for (const start of [startOutbox, startKeys, startControls, startRows, startScanner, startGauge]) {
  try {
    start();
  } catch (error) {
    console.error(error); // a browser that keeps nothing must still hear the scanner
  }
}
