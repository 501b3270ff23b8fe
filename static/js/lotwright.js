// What every page runs. Each module stands alone and does nothing where its elements are missing.
import { startControls } from "./controls.js";
import { startKeys } from "./keys.js";
import { startOutbox } from "./outbox.js";
import { startScanner } from "./scanner.js";

startOutbox(); // before startKeys: a form the outbox has taken is not held back a second time
startKeys();
startControls();
startScanner();
