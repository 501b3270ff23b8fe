// Telling a scanner that types from a person that types, and reading what it typed. No page, no clock: events in, code out.

const LONGEST_GAP_MS = 150;
const LONGEST_MEAN_MS = 60;
const LEAST_FOREIGN = 6; // shorter than this no label of somebody else's is
const MOST_KEYS = 200; // a link with a long address in front of the code

const ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";

/** Tell whether the last character is the ISO 7064 MOD 37-2 check character of those before it. */
export function checks(code) {
  let remainder = 0;
  for (const character of code) remainder = (2 * remainder + ALPHABET.indexOf(character)) % 37;
  return remainder === 1;
}

const PLAIN = { Minus: "-", Slash: "/", Period: ".", Semicolon: ";", Comma: ",", Equal: "=", NumpadSubtract: "-", NumpadDivide: "/", NumpadDecimal: "." };
const SHIFTED = { Minus: "_", Slash: "?", Semicolon: ":", Equal: "+", Period: ">", Comma: "<" };

/** Return the character of a key by its place on the keyboard a scanner pretends to be, whatever layout is set. */
export function characterByPlace(code, shift) {
  const letter = /^Key([A-Z])$/.exec(code);
  if (letter) return shift ? letter[1] : letter[1].toLowerCase();
  const digit = /^(?:Digit|Numpad)([0-9])$/.exec(code);
  if (digit) return digit[1];
  return (shift ? SHIFTED[code] : PLAIN[code]) ?? "";
}

/** Make a reader of key presses for codes of `pattern` (the source of a regular expression, without anchors). */
export function makeBurst(pattern) {
  const bare = new RegExp(`(${pattern})$`);
  const link = new RegExp(`(HTTPS?://[^ ]+/)(${pattern})/?$`);
  let keys = [];

  const find = (text) => {
    const inLink = link.exec(text);
    if (inLink) return { code: inLink[2], length: inLink[0].length };
    const alone = bare.exec(text);
    return alone ? { code: alone[1], length: alone[1].length } : null;
  };

  // A scanner set to the computer's layout is right by character, one set to another layout by place; a code whose
  // check character fits decides.
  const read = () => {
    const found = [(key) => key.typed, (key) => key.placed]
      .map((part) => find(keys.map(part).join("").toUpperCase()))
      .filter(Boolean);
    return found.find(({ code }) => checks(code)) ?? found[0] ?? null;
  };

  const fastEnough = (first, end) => (end - first.at) / (keys.length - keys.indexOf(first)) <= LONGEST_MEAN_MS;

  const ours = (end) => {
    const found = read();
    const first = found && keys[keys.length - found.length];
    return first && fastEnough(first, end) ? { code: found.code, first, ours: true } : null;
  };

  const foreign = (end) => keys.length >= LEAST_FOREIGN && fastEnough(keys[0], end)
    ? { code: keys.map((key) => key.typed).join(""), first: keys[0], ours: false }
    : null;

  return {
    /**
     * Take one key press `{at, key, code, shift, ...}`; `at` in milliseconds.
     * Returns `{code, first, ours}` when it ends a scan, `first` being the press that began it and `ours` telling whether
     * it looks like one of our codes; else null.
     */
    take(press) {
      const last = keys.at(-1);
      if (last && press.at - last.at > LONGEST_GAP_MS) keys = [];
      if (press.key === "Enter" || press.key === "Tab") {
        const scanned = ours(press.at) ?? foreign(press.at);
        keys = [];
        return scanned;
      }
      const typed = press.key.length === 1 ? press.key : "";
      const placed = characterByPlace(press.code, press.shift);
      if (typed || placed) keys.push({ ...press, typed: typed || placed, placed: placed || typed });
      if (keys.length > MOST_KEYS) keys.shift();
      return null;
    },
  };
}
