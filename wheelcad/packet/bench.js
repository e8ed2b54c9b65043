const plan = JSON.parse(document.getElementById("plan").textContent);
const $ = (id) => document.getElementById(id);
const KEPT = `wheelcad-bench-${plan.job}-`; // and the plan mark: a count belongs to one list of stops
const KEY = KEPT + plan.mark;
const MOST_UNDO = 400;
const START = { at: -1, past: [], ticks: [], falls: false, theme: "", saved: 0 };
let state = load();
let lastPress = 0;
let peeking = false; // looking at the set-up again in the middle of the work

// at: index of the step to be made; -1 while setting up, steps.length when all is done. past: where `at` stood before.
// saved: a clock that only rises. It is kept in the browser and in the page's address; the newer of the two is right.
function load() {
  const read = (text) => {
    try {
      const found = { ...START, ...JSON.parse(text()) };
      const sound = Number.isInteger(found.at) && found.at >= -1 && found.at <= plan.steps.length;
      return sound && found.mark === plan.mark && Number.isFinite(found.saved) && Array.isArray(found.past) && Array.isArray(found.ticks) ? found : null;
    } catch {
      return null;
    }
  };
  const kept = [read(() => localStorage.getItem(KEY)), read(() => decodeURIComponent(location.hash.slice(1)))].filter(Boolean);
  return kept.sort((a, b) => b.saved - a.saved)[0] || { ...START };
}

// The marks of other plans of this job whose count is kept here, or stands in the address: theirs is not taken over.
function others() {
  const found = new Set();
  try {
    const named = JSON.parse(decodeURIComponent(location.hash.slice(1))).mark;
    if (typeof named === "string") found.add(named);
  } catch {
    /* no state in the address */
  }
  try {
    Object.keys(localStorage).filter((key) => key.startsWith(KEPT)).forEach((key) => found.add(key.slice(KEPT.length)));
  } catch {
    /* this browser keeps nothing */
  }
  found.delete(plan.mark);
  return [...found].map((mark) => mark.slice(0, 6)).sort();
}

// Kept in the browser and in the page's address: one of them is enough.
function keep() {
  state.saved = Math.max(Date.now(), state.saved + 1);
  state.mark = plan.mark;
  let places = 0;
  try {
    localStorage.setItem(KEY, JSON.stringify(state));
    places += 1;
  } catch {
    /* private window or full: the address it is */
  }
  try {
    history.replaceState(null, "", `#${encodeURIComponent(JSON.stringify({ ...state, past: state.past.slice(-20) }))}`);
    places += 1;
  } catch {
    /* some browsers allow no address of their own to a file */
  }
  if (!places) say("This browser keeps nothing: do not reload this page, or note the cut on paper.");
}

// From the set-up on, nothing ticked and nothing cut: for a second wheel, or after a start that went wrong.
function anew() {
  change({ ticks: [] });
  go(-1);
}

function say(words) {
  $("trouble").textContent = words;
  $("trouble").hidden = !words;
}

function go(to) {
  const past = [...state.past, state.at].slice(-MOST_UNDO);
  state = { ...state, at: Math.max(-1, Math.min(plan.steps.length, to)), past };
  keep();
  show();
}

function undo() {
  if (!state.past.length) return;
  state = { ...state, at: state.past[state.past.length - 1], past: state.past.slice(0, -1) };
  keep();
  show();
}

// One press is one step: an oily thumb that bounces must not count two.
function bounced() {
  const now = performance.now();
  const too_soon = now - lastPress < plan.pause_ms;
  if (!too_soon) lastPress = now;
  return too_soon;
}

function done() {
  if (bounced() || state.at < 0 || state.at >= plan.steps.length) return;
  const step = plan.steps[state.at];
  if (!step.ask) {
    go(state.at + 1);
    return;
  }
  $("agree-says").textContent = step.ask;
  $("agree").showModal();
  $("agree-yes").focus();
}

function back() {
  if (!bounced() && state.at > -1) go(state.at - 1);
}

function show() {
  const working = state.at >= 0 && state.at < plan.steps.length;
  const preparing = peeking || state.at < 0;
  $("prepare").hidden = !preparing;
  $("work").hidden = preparing || !working;
  $("finished").hidden = preparing || state.at < plan.steps.length;
  $("start").textContent = state.at < 0 ? "Set up, start cutting" : "Back to the cut";
  $("undo-start").hidden = state.at >= 0 || !state.past.length;
  document.querySelectorAll("#setup input").forEach((box, i) => (box.checked = state.ticks.includes(i)));
  if (state.theme) document.documentElement.dataset.theme = state.theme;
  else delete document.documentElement.dataset.theme;
  $("falls").checked = state.falls;
  document.querySelectorAll("[name=theme]").forEach((radio) => (radio.checked = radio.value === state.theme));
  if (working) showStep(plan.steps[state.at]);
}

function showStep(step) {
  const lap = plan.laps[step.lap];
  $("lap").textContent = `${step.lap + 1} of ${plan.laps.length}: ${lap.title}`;
  $("do").textContent = step.do;
  $("todo").replaceChildren(...step.setup.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
  $("todo").hidden = !step.setup.length;
  $("count").textContent = step.closing
    ? "Closing: back on the first line"
    : `Cut ${step.place} of ${lap.count}${step.cut === step.place ? "" : `, ${step.name}`}`;
  $("turns").textContent = step.turns;
  $("turns-word").textContent = step.turns === 1 ? "full turn" : "full turns";
  $("dial").textContent = state.falls ? step.dial_falls : step.dial;
  $("setting").classList.toggle("long", step.dial.length > 5);
  $("pin").textContent = step.pin;
  $("pin").hidden = !step.pin;
  const facts = [["Turn on by", step.past_zero ? `${step.move}, past zero` : step.move]];
  if (step.edge) facts.push(["Edge reads", step.edge]);
  $("facts").replaceChildren(
    ...facts.flatMap(([term, words]) =>
      ["dt", "dd"].map((tag, i) => Object.assign(document.createElement(tag), { textContent: i ? words : term })),
    ),
  );
  $("meet").textContent = step.meet;
  $("meet").hidden = !step.meet;
  $("ahead").textContent = step.ahead && !step.meet ? `Next checkpoint: ${step.ahead}` : "";
  $("back").disabled = false;
  $("undo").disabled = !state.past.length;
  showWheel(step);
}

function showWheel(step) {
  const made = plan.steps.slice(0, state.at);
  const depth = new Set(made.filter((one) => one.kind !== "scratch" && !one.closing).map((one) => one.cut));
  const lines = new Set(made.filter((one) => one.kind === "scratch").map((one) => one.cut));
  document.querySelectorAll("[data-cut]").forEach((mark) => {
    const cut = Number(mark.dataset.cut);
    const deep = depth.has(cut);
    mark.classList.toggle("cut", deep && mark.dataset.kind !== "hole");
    mark.classList.toggle("drilled", deep && mark.dataset.kind === "hole");
    mark.classList.toggle("scratched", !deep && lines.has(cut));
    mark.classList.toggle("waiting", !deep && !lines.has(cut));
  });
  // the shorter way round from picture to picture, so that 355 to 5 does not spin the wheel back
  const turning = $("turning");
  const wanted = plan.picture_sense * -(step.exact + plan.gap_at);
  const before = Number(turning.dataset.angle || 0);
  const angle = before + shorterWay(wanted - before);
  turning.dataset.angle = angle;
  turning.style.transform = `rotate(${angle}deg)`;
  document.querySelector("#picture svg").setAttribute(
    "aria-label",
    `Wheel with the cutter at ${step.name}; ${depth.size} cuts made to depth, ${lines.size} lines scratched.`,
  );
}

function openLost() {
  $("lost-turns").value = "";
  $("lost-dial").value = "";
  $("lost-edge").value = "";
  $("lost-edge-label").hidden = !plan.has_scale;
  $("lost-answer").replaceChildren();
  $("lost-go").hidden = true;
  $("lost").showModal();
  $("lost-turns").focus();
}

function answer(event) {
  event.preventDefault();
  const lines = [];
  let turns = Number($("lost-turns").value.trim());
  let dial = degreesOf($("lost-dial").value);
  $("lost-go").hidden = true;
  if (!Number.isInteger(turns) || $("lost-turns").value.trim() === "" || Number.isNaN(dial)) {
    reply("Give whole turns and the dial's reading in degrees.", []);
    return;
  }
  if (dial < 0 || dial > plan.per_turn) {
    reply(`The dial goes from 0 to ${plan.per_turn_text}.`, []);
    return;
  }
  if (state.falls) dial = (plan.per_turn - dial) % plan.per_turn;
  const edge = degreesOf($("lost-edge").value);
  if (plan.has_scale && !Number.isNaN(edge)) {
    const told = turnsByEdge(plan, edge, dial);
    if (told !== ((turns % plan.ratio) + plan.ratio) % plan.ratio) lines.push(`The table's edge says ${told} full turns, not ${turns}: believe the edge.`);
    turns = told;
  }
  const step = plan.steps[state.at];
  const found = whereAmI(plan, turns, dial, state.at);
  const first = found.causes[0];
  const dialText = state.falls ? step.dial_falls : step.dial;
  const setting = `${step.turns} ${step.turns === 1 ? "turn" : "turns"} + ${dialText}`;
  const short = (value) => Number(Math.abs(value).toFixed(4)).toString();
  if (first.kind === "sound") lines.push(`This is ${step.name}, cut ${step.cut}.`);
  else {
    lines.push(`The table stands ${short(found.off)}° ${found.off < 0 ? "short of" : "past"} this setting, ${setting}.`);
    const near = Math.abs(found.near_deg) <= plan.tolerance ? "exactly" : `${short(found.near_deg)}° ${found.near_deg < 0 ? "short of" : "past"}`;
    lines.push(near === "exactly" ? `It stands at cut ${found.near_cut}.` : `The nearest cut is ${found.near_cut}: you are ${near} it.`);
  }
  const once = first.times === 1 ? plan.do[`${first.kind}-once`] : "";
  lines.push((once || plan.do[first.kind]).replace("{setting}", setting));
  lines.push(...mended(plan, found, state.at));
  const others = found.causes.slice(1).map((cause) => filledIn(plan.says[cause.kind], cause));
  if (others.length) lines.push(`It could also be: ${others.join(" ")}`);
  reply(filledIn(plan.says[first.kind], first), lines);
  if (found.back_to !== state.at && found.back_to >= 0) {
    const to = plan.steps[found.back_to];
    $("lost-go").textContent = `Go to cut ${to.cut} on this page`;
    $("lost-go").dataset.to = found.back_to;
    $("lost-go").hidden = false;
  }
}

function reply(head, lines) {
  const made = lines.map((text) => Object.assign(document.createElement("p"), { textContent: text }));
  $("lost-answer").replaceChildren(Object.assign(document.createElement("h3"), { textContent: head }), ...made);
  $("lost-answer").scrollIntoView({ block: "nearest" });
}

function change(part) {
  state = { ...state, ...part };
  keep();
  show();
}

// After a touch or a dialog the space bar means Done again; who goes by keyboard stays on the button pressed.
function ready(event) {
  if (event.detail > 0 && !$("work").hidden) $("done").focus({ preventScroll: true });
}

function shut(id) {
  $(id).close();
  ready({ detail: 1 });
}

function listen() {
  const on = (id, act) => $(id).addEventListener("click", act);
  on("done", done);
  on("back", (event) => {
    back();
    ready(event);
  });
  on("finished-back", back);
  on("undo", (event) => {
    undo();
    ready(event);
  });
  document.querySelectorAll("dialog").forEach((dialog) => dialog.addEventListener("close", () => ready({ detail: 1 })));
  on("undo-start", undo);
  on("start", () => {
    peeking = false;
    if (state.at < 0) say("");
    state.at < 0 ? go(0) : show();
  });
  on("open-list", () => {
    const open = document.documentElement.classList.toggle("listing");
    $("open-list").setAttribute("aria-expanded", String(open));
    if (open) document.querySelector(".list").scrollIntoView();
  });
  on("where", openLost);
  on("open-prepare", () => {
    peeking = !peeking;
    show();
  });
  on("open-settings", () => $("settings").showModal());
  on("settings-close", () => shut("settings"));
  on("lost-close", () => shut("lost"));
  on("lost-go", () => {
    shut("lost");
    go(Number($("lost-go").dataset.to));
  });
  on("agree-yes", () => {
    shut("agree");
    go(state.at + 1);
  });
  on("agree-no", () => {
    shut("agree");
    openLost();
  });
  on("again", () => {
    shut("settings");
    anew();
  });
  on("another", anew);
  $("lost-form").addEventListener("submit", answer);
  $("falls").addEventListener("change", (event) => change({ falls: event.target.checked }));
  document.querySelectorAll("[name=theme]").forEach((radio) => radio.addEventListener("change", () => change({ theme: radio.value })));
  document.querySelectorAll("#setup input").forEach((box, i) =>
    box.addEventListener("change", () =>
      change({ ticks: box.checked ? [...state.ticks, i] : state.ticks.filter((kept) => kept !== i) }),
    ),
  );
  document.addEventListener("keydown", pressed);
  window.addEventListener("storage", (event) => {
    if (event.key !== KEY) return; // the same job in another window
    document.querySelectorAll("dialog[open]").forEach((dialog) => shut(dialog.id)); // they asked about a step that is past
    state = load();
    show();
  });
  swipes();
}

function pressed(event) {
  const busy = document.querySelector("dialog[open]") || event.ctrlKey || event.metaKey || event.altKey;
  if (busy || event.repeat || $("work").hidden) return;
  const typing = event.target.closest?.("input, textarea, select");
  const button = event.target.closest?.("button:not(dialog button)"); // a closed dialog's may keep the focus a moment
  if (typing) return;
  if (event.key === " " && (!button || button.id === "done")) {
    event.preventDefault();
    done();
  } else if (event.key === "ArrowLeft") back();
  else if (event.key === "u") undo();
  else if (event.key === "w") {
    event.preventDefault();
    openLost();
  }
}

function swipes() {
  let from = null;
  const area = $("work");
  area.addEventListener("touchstart", (event) => {
    from = event.touches.length === 1 ? event.touches[0] : null;
  }, { passive: true });
  area.addEventListener("touchend", (event) => {
    if (!from) return;
    const to = event.changedTouches[0];
    const across = to.clientX - from.clientX;
    if (Math.abs(across) > 80 && Math.abs(to.clientY - from.clientY) < 60) (across < 0 ? done : back)();
    from = null;
  }, { passive: true });
}

async function stayAwake() {
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    /* not every browser can; the count is kept all the same */
  }
}

document.documentElement.classList.add("scripted");
$("app").hidden = false;
document.querySelector(".tools").hidden = false;
listen();
show();
if (state.at < 0 && others().length) {
  say(`A count of another plan of this job is kept here (plan ${others().join(", ")}). This page is plan ${plan.mark}: it begins anew and does not take that count over.`);
}
stayAwake();
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && stayAwake());
