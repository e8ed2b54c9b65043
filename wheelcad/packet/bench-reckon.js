"use strict";
// Where the table stands, from a dial reading and a count of turns. The same reckoning as the program's own; numbers are
// table degrees, `plan` is the data of this page: plan.steps[i].at and .part are degrees from zero and of the move's part.

function shorterWay(angle) {
  const wrapped = ((angle % 360) + 360) % 360;
  return wrapped > 180 ? wrapped - 360 : wrapped;
}

// Degrees lost by forgetting the part of the last 1, 2, 3 … moves up to step `index`.
function partsLost(plan, index) {
  const out = [];
  let total = 0;
  for (let back = 0; back < Math.min(plan.limits.forgotten, index + 1); back++) {
    const part = plan.steps[index - back].part;
    if (part === 0) break;
    total += part;
    out.push(total);
  }
  return out;
}

function slipsOf(plan, cause) {
  if (cause.kind === "sound") return 0;
  return cause.kind in plan.slips ? plan.slips[cause.kind] + cause.times : 99;
}

function causesOf(plan, index, other, off, dial) {
  const { tolerance: tol, per_turn: per, backlash, hole_step: hole, limits } = plan;
  if (Math.abs(off) <= tol) return [{ kind: "sound", times: 0, cut: 0 }];
  const fits = (expected) => Math.abs(shorterWay(off - expected)) <= tol;
  const out = [];
  const add = (kind, times, cut = 0) => out.push({ kind, times, cut });
  partsLost(plan, index).forEach((part, i) => {
    if (fits(-part)) add("part-forgotten", i + 1);
    if (i < limits.twice && fits(part)) add("part-twice", i + 1);
    if (fits(-part - per) || fits(-part + per)) add("part-and-turns", i + 1);
  });
  if (index > 0) {
    const last = shorterWay(plan.steps[index - 1].at - plan.steps[index].at);
    if (fits(last)) add("not-turned", 0);
    partsLost(plan, index - 1).forEach((part, i) => {
      if (fits(last - part)) add("part-forgotten-before", i + 1);
    });
  }
  for (let n = 1; n <= limits.turns; n++) {
    if (fits(-n * per)) add("turns-few", n);
    if (fits(n * per)) add("turns-many", n);
  }
  if (backlash > tol && Math.abs(Math.abs(off) - backlash) <= Math.max(tol, backlash / 4)) add("backlash", 1);
  if (hole > tol) {
    for (let n = 1; n <= limits.holes; n++) if (fits(n * hole) || fits(-n * hole)) add("hole", n);
  }
  if (other) add("other-cut", 1, other);
  if (fits(dial - ((per - dial) % per))) add("other-end", 1);
  return out;
}

function whereAmI(plan, turns, dial, index) {
  const now = plan.steps[index];
  const at = (((turns * plan.per_turn + dial) % 360) + 360) % 360;
  const off = shorterWay(at - now.at);
  let near = -1;
  let best = Infinity;
  plan.steps.forEach((step, i) => {
    if (step.lap !== now.lap || step.closing) return;
    const away = Number(Math.abs(shorterWay(at - step.at)).toFixed(9));
    if (away < best) [near, best] = [i, away];
  });
  const nearDeg = shorterWay(at - plan.steps[near].at);
  const nearCut = plan.steps[near].cut;
  const other = nearCut !== now.cut && Math.abs(nearDeg) <= plan.tolerance ? nearCut : 0;
  let causes = causesOf(plan, index, other, off, dial);
  causes.sort((a, b) => slipsOf(plan, a) - slipsOf(plan, b) || (a.kind < b.kind ? -1 : a.kind > b.kind ? 1 : 0));
  causes = causes.slice(0, plan.limits.shown);
  if (!causes.length) causes = [{ kind: "unknown", times: 0, cut: 0 }];
  const first = causes[0];
  let backTo = index;
  if (first.kind === "part-forgotten" || first.kind === "part-and-turns") backTo = index - first.times + 1;
  else if (first.kind === "part-forgotten-before") backTo = index - first.times;
  else if (first.kind === "other-cut") backTo = near;
  return { at, off, near_cut: nearCut, near_deg: nearDeg, back_to: backTo, causes };
}

// The steps whose cuts were made in the wrong place: those between the first part forgotten and the present one.
function wronglyMade(found, index) {
  const { kind, times } = found.causes[0];
  if (kind === "part-forgotten" || kind === "part-and-turns") return [index - times + 1, index];
  return kind === "part-forgotten-before" ? [index - times, index] : [index, index];
}

// A dial's reading in words, as the dial is divided.
function dialWords(plan, degrees) {
  if (!plan.in_minutes) return `${degrees.toFixed(plan.places)}°`;
  const seconds = Math.round(degrees * 3600);
  const two = (n) => String(n).padStart(2, "0");
  const rest = seconds % 60 ? `${two(seconds % 60)}″` : "";
  return `${Math.floor(seconds / 3600)}°${two(Math.floor(seconds / 60) % 60)}′${rest}`;
}

// Which cuts, if any, stand wrong, and the move that mends it, from where the table stands to this step's setting.
function mended(plan, found, index) {
  if (["sound", "unknown", "other-end"].includes(found.causes[0].kind)) return [];
  const [from, to] = wronglyMade(found, index);
  const wrong = [...new Set(plan.steps.slice(Math.max(from, 0), to).map((step) => step.cut))];
  const lines = [wrong.length ? `These stand wrong: ${wrong.length === 1 ? "cut" : "cuts"} ${wrong.join(", ")}.` : "No cut stands wrong by this."];
  const on = (((plan.steps[index].at - found.at) % 360) + 360) % 360;
  if (on > 1e-6 && on < 180) {
    let turns = Math.floor(on / plan.per_turn + 1e-9);
    let part = Math.max(0, on - turns * plan.per_turn);
    if (part > plan.per_turn - 1e-6) [turns, part] = [turns + 1, 0];
    lines.push(`To mend it, turn on by ${turns} ${turns === 1 ? "turn" : "turns"} + ${dialWords(plan, part)}.`);
  } else if (on >= 180) {
    const back = 360 - on;
    const turns = Math.floor(back / plan.per_turn + 1e-9);
    lines.push(`To mend it, go back ${turns} ${turns === 1 ? "turn" : "turns"} + ${dialWords(plan, Math.max(0, back - turns * plan.per_turn))} and ${plan.back} more, then come up again.`);
  }
  return lines;
}

// Whole turns that the table's edge tells; it does not forget.
function turnsByEdge(plan, edge, dial) {
  const at = plan.scale_rises ? edge : -edge;
  const turns = Math.floor((at - dial) / plan.per_turn + 0.5) % plan.ratio;
  return turns < 0 ? turns + plan.ratio : turns + 0;
}

function filledIn(text, cause) {
  const n = cause.times;
  const words = {
    "{times}": n === 1 ? "once" : n === 2 ? "twice" : `${n} times`,
    "{turns}": n === 1 ? "one whole turn" : `${n} whole turns`,
    "{holes}": n === 1 ? "one hole" : `${n} holes`,
    "{cut}": String(cause.cut),
  };
  return Object.entries(words).reduce((said, [mark, word]) => said.replace(mark, word), text);
}

// "5.5", "5,5", "5 30" or "5°30′15″" in degrees; NaN for anything else.
function degreesOf(text) {
  const plain = text.trim().replace(/,/g, ".");
  if (!/^[0-9.\s°′'″"]+$/.test(plain)) return NaN;
  const parts = plain.split(/[^0-9.]+/).filter((part) => part !== "").map(Number);
  if (!parts.length || parts.length > 3 || parts.some(Number.isNaN)) return NaN;
  return parts[0] + (parts[1] || 0) / 60 + (parts[2] || 0) / 3600;
}
