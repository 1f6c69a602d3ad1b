// What script adds: answers while one types, the number pad, what others change, a screen that stays awake, a tone.
// Without it every page still does its work.

const page = document.getElementById("page");
document.documentElement.dataset.scriptOn = "yes";

/** Answers while a form is filled in: its fields go to `data-from`, what comes back into `data-live`. */
function live(root) {
  for (const form of root.querySelectorAll("form[data-live]")) {
    const target = document.querySelector(form.dataset.live);
    let asked = 0;
    let waits = false;
    const ask = async () => {
      waits = false;
      const mine = ++asked;
      const fields = new URLSearchParams();
      for (const [name, value] of new FormData(form)) if (typeof value === "string" && name !== "id") fields.append(name, value);
      try {
        const answer = await fetch(`${form.dataset.from}?${fields}`, { headers: { accept: "text/html" } });
        if (!answer.ok || mine !== asked) return;
        // The page and its answers come from the same server, which escapes every word in them.
        target.innerHTML = await answer.text();
        const size = target.querySelector("data.size");
        const out = form.querySelector("[data-size]");
        if (size && out) out.textContent = size.value;
      } catch { /* no network: the form still posts when there is one */ }
    };
    const soon = () => {
      if (!waits) { waits = true; requestAnimationFrame(ask); }
      showDigits(form);
    };
    form.addEventListener("input", soon);
    form.addEventListener("change", soon);
    if (form.method === "get") form.addEventListener("submit", (event) => { event.preventDefault(); soon(); });
  }
}

/** The press says what it keeps, the display in which unit. */
function showDigits(form) {
  const shown = form.querySelector("[data-shown]");
  const digits = form.querySelector("[data-pad]");
  if (!shown || !digits) return;
  const label = form.querySelector("input[name=unit]:checked")?.parentElement.textContent.trim() ?? "";
  const text = digits.value.trim();
  shown.textContent = /^[-\u2212]?[\d.,]+$/.test(text) ? `${text} ${label}` : text;
  const unit = form.querySelector("[data-unit]");
  if (unit) unit.textContent = label;
  const more = form.querySelector("[data-chosen]");
  if (more) more.textContent = form.querySelector(".more input[name=when]:checked")?.parentElement.textContent.trim() ?? "more";
}

/** Presses one of several choices as a finger would. */
function choose(form, name, value) {
  const one = form.querySelector(`input[name=${name}][value="${value}"]`);
  if (!one) return;
  one.checked = true;
  one.dispatchEvent(new Event("change", { bubbles: true }));
}

/** What a key of the pad, or its letter, makes of the digits. */
function typed(value, key) {
  const word = value === "open" || value === "unstable";
  if (key === "back") return word ? "" : value.slice(0, -1);
  if (key === "open" || key === "unstable") return key;
  if (key === "minus") return word ? "-" : value.startsWith("-") ? value.slice(1) : `-${value}`;
  if (word) return key;
  return key === "." && value.includes(".") ? value : value + key;
}

/** Letters in the display that are no part of a value. */
const LETTERS = {
  o: (form, field) => put(field, "open"), u: (form, field) => put(field, "unstable"),
  a: (form) => choose(form, "unit", "Vac"), d: (form) => choose(form, "unit", "Vdc"),
  q: (form) => choose(form, "when", "rest"), t: (form) => choose(form, "when", "tripped"), x: (form) => choose(form, "when", "reversed"),
};

function put(field, value) {
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** The number pad, for gloves, in place of the phone's own; and one letter for each of its words. */
function pads(root) {
  for (const pad of root.querySelectorAll(".pad")) {
    const form = pad.closest("form");
    const field = form.querySelector("[data-pad]");
    for (const one of form.querySelectorAll("[data-script]")) one.hidden = false;
    if (matchMedia("(pointer: coarse)").matches) field.inputMode = "none";
    form.addEventListener("click", (event) => {
      const key = event.target.closest("button")?.dataset.key;
      if (!key) return;
      event.preventDefault();
      put(field, typed(field.value, key));
    });
    field.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      if (event.key === "Enter" && event.shiftKey) {
        event.preventDefault();
        form.requestSubmit(form.querySelector("button[value=trip]"));
        return;
      }
      const word = /[a-z]/i.test(field.value) && /^(open|unstable)?$/.test(field.value);
      const does = LETTERS[event.key.toLowerCase()];
      if (does && !event.shiftKey) {
        event.preventDefault();
        // Whoever spells the word out has it after its first letter.
        if (!word || !field.value.includes(event.key)) does(form, field);
      } else if (word && event.key.length === 1) {
        event.preventDefault();
        if (!field.value.includes(event.key)) put(field, event.key);
      }
    });
    for (const details of form.querySelectorAll(".conditions details")) {
      details.addEventListener("change", (event) => { if (event.target.type === "radio") details.open = false; });
    }
    showDigits(form);
  }
}

/** What begins a square code of ours. */
const OURS = "loopwright:";

/** A scanner that types: wherever it types, its tag is opened, and what it typed into is as it was. */
function scanners() {
  let typed = "";
  let before = null;
  document.addEventListener("keydown", (event) => {
    const way = document.querySelector("[data-scan]")?.dataset.scan;
    if (!way || event.target.id === "code" || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key.length === 1) {
      const next = (typed + event.key).toLowerCase();
      if (OURS.startsWith(next) || next.startsWith(OURS)) {
        if (typed === "") before = { field: event.target, value: event.target.value };
        typed += event.key;
        if (typed.length > OURS.length) { event.preventDefault(); event.stopImmediatePropagation(); }
      } else typed = "";
    } else if (event.key === "Enter" && typed.length > OURS.length) {
      event.preventDefault();
      event.stopImmediatePropagation();
      if (before.value !== undefined) before.field.value = before.value;
      location.href = `${way}?code=${encodeURIComponent(typed)}`;
      typed = "";
    } else if (event.key !== "Shift") typed = "";
  }, true);
}

/** The camera, live in the page, where the browser reads codes itself; a photo does elsewhere. */
async function cameras(root) {
  const box = root.querySelector("[data-camera]");
  if (!box || !("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;
  const formats = await window.BarcodeDetector.getSupportedFormats?.().catch(() => []) ?? ["qr_code"];
  if (!formats.includes("qr_code")) return;
  const [press, says, video] = ["button", "p", "video"].map((name) => box.querySelector(name));
  let stream = null;
  const stop = () => {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    video.hidden = true;
    press.textContent = "Scan with the camera";
  };
  box.hidden = false;
  press.addEventListener("click", async () => {
    if (stream) { stop(); return; }
    says.textContent = "";
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      says.textContent = "The camera was not given. Take a photo of the code above, or type the tag.";
      return;
    }
    press.textContent = "Stop the camera";
    video.hidden = false;
    video.srcObject = stream;
    // It plays once the camera gives its first picture; until then there is nothing to read.
    video.play().catch(() => {});
    const detector = new window.BarcodeDetector({ formats: ["qr_code"] });
    while (stream) {
      const codes = await detector.detect(video).catch(() => []);
      if (stream && codes.length > 0) {
        stop();
        location.href = `${box.dataset.camera}?code=${encodeURIComponent(codes[0].rawValue)}`;
        return;
      }
      await new Promise((resolve) => setTimeout(resolve, 150));
    }
  });
  addEventListener("pagehide", stop);
}

/** Whether somebody is in the middle of something on this page. */
function busy() {
  for (const form of document.querySelectorAll("main form, aside form")) {
    for (const field of form.elements) {
      if (field.type === "hidden" || field.type === "submit" || field.type === "button") continue;
      if (field.type === "checkbox" || field.type === "radio") { if (field.checked !== field.defaultChecked) return true; }
      else if (field.tagName === "SELECT") { if (field.selectedIndex !== Math.max(0, [...field.options].findIndex((one) => one.defaultSelected))) return true; }
      else if (field.value !== field.defaultValue) return true;
    }
  }
  return false;
}

/** Fields that somebody can leave half-written, each with what tells it from the others of its page. */
function halves() {
  const seen = new Map();
  const all = [];
  for (const form of document.querySelectorAll("main form[method=post]")) {
    const hidden = ["do", "table", "of", "list", "at", "key", "about", "strip"].map((name) => form.querySelector(`input[type=hidden][name=${name}]`)?.value ?? "");
    for (const field of form.elements) {
      if (field.tagName !== "TEXTAREA" && !["text", "search", "number"].includes(field.type)) continue;
      if (!field.name) continue;
      const name = [form.getAttribute("action"), ...hidden, field.name].join("\n");
      const count = seen.get(name) ?? 0;
      seen.set(name, count + 1);
      all.push({ form, field, key: `${name}\n${count}` });
    }
  }
  return all;
}

/** What stands half-written in other forms is kept over a press, and put back where nobody wrote there meanwhile. */
function keepsHalves() {
  const place = `half:${location.pathname}`;
  let kept = {};
  try { kept = JSON.parse(sessionStorage.getItem(place) ?? "{}"); sessionStorage.removeItem(place); } catch { /* nothing is kept here */ }
  const lost = [];
  for (const { field, key } of halves()) {
    const half = kept[key];
    if (!half) continue;
    if (field.defaultValue === half.base) {
      field.value = half.value;
      for (let around = field.closest("details"); around; around = around.parentElement.closest("details")) around.open = true;
    } else if (field.defaultValue !== half.value) lost.push(half.value);
  }
  if (lost.length > 0) {
    const word = document.createElement("p");
    word.className = "stale";
    word.setAttribute("role", "status");
    word.append(`Somebody changed what you were writing over. You had typed: ${lost.join("; ")}`);
    document.getElementById("main")?.prepend(word);
  }
  document.addEventListener("submit", (event) => {
    if (event.target.method !== "post") return;
    const half = {};
    for (const { form, field, key } of halves()) {
      if (form !== event.target && field.value !== field.defaultValue) half[key] = { base: field.defaultValue, value: field.value };
    }
    try {
      if (Object.keys(half).length > 0) sessionStorage.setItem(place, JSON.stringify(half));
      else sessionStorage.removeItem(place);
    } catch { /* no room: the fields go as they do without script */ }
  });
}

/** Takes over what others changed: the whole sheet, or only its margin while somebody types. */
async function refresh() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const put = (selector) => {
    const [mine, theirs] = [document.querySelector(selector), fresh.querySelector(selector)];
    if (!mine || !theirs) return;
    if (mine.innerHTML !== theirs.innerHTML) mine.replaceChildren(...theirs.childNodes);
  };
  const version = fresh.getElementById("page")?.dataset.version;
  const changed = version !== page.dataset.version;
  tone(fresh);
  const active = document.activeElement;
  const at = active && active.id ? active.id : null;
  if (changed && !busy()) {
    const open = [...document.querySelectorAll("details")].map((one) => one.open);
    put("#main"); put("#margin"); put(".block");
    [...document.querySelectorAll("details")].forEach((one, index) => { if (open[index]) one.open = true; });
    page.dataset.version = version;
    ready(document.getElementById("main"));
  } else {
    put("#margin");
    for (const part of document.querySelectorAll("[data-fresh]")) put(`[data-fresh="${part.dataset.fresh}"]`);
    if (changed && !document.querySelector(".stale")) {
      const word = document.createElement("p");
      word.className = "stale";
      word.setAttribute("role", "status");
      word.append("Somebody changed this job while you are writing. ");
      const link = document.createElement("a");
      link.href = location.href;
      link.textContent = "Show it as it is now";
      word.append(link, "; what you type here is kept until then.");
      document.getElementById("main").prepend(word);
    }
  }
  if (at) document.getElementById(at)?.focus({ preventScroll: true });
}

/** A tone when somebody else's trip lands. */
function tone(fresh) {
  const known = new Set([...document.querySelectorAll("[data-trip]")].map((one) => one.dataset.trip));
  const lands = [...fresh.querySelectorAll("[data-trip]")].some((one) => !known.has(one.dataset.trip));
  if (!lands) return;
  // Browsers let a page sound and shake only once somebody has touched it.
  if (navigator.userActivation && !navigator.userActivation.hasBeenActive) return;
  try {
    const audio = new AudioContext();
    const swing = audio.createOscillator();
    const level = audio.createGain();
    level.gain.value = 0.2;
    swing.frequency.value = 880;
    swing.connect(level).connect(audio.destination);
    swing.start();
    swing.stop(audio.currentTime + 0.25);
  } catch { /* no sound here: the page says it too */ }
  navigator.vibrate?.(200);
}

/** Listens for what others do; asks every few seconds where the stream does not come through. */
function listen() {
  if (!page?.dataset.events) return;
  let last = 0;
  const again = () => { last = Date.now(); refresh().catch(() => {}); };
  const stream = new EventSource(page.dataset.events);
  let first = true;
  stream.onmessage = (event) => {
    if (first && event.data === page.dataset.version) { first = false; return; }
    first = false;
    again();
  };
  setInterval(() => {
    if (stream.readyState !== EventSource.OPEN && document.visibilityState === "visible" && Date.now() - last > 4000) again();
  }, 5000);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") again(); });
}

/** The screen stays awake where one reads a meter with both hands. */
async function awake() {
  if (!page?.dataset.awake || document.visibilityState !== "visible") return;
  try { await navigator.wakeLock?.request("screen"); } catch { /* the battery is low, or the browser has no such thing */ }
}

/** Tells the server by how much this clock is ahead of UTC, so that times are those of the reader. */
function clock() {
  const own = `ahead=${-new Date().getTimezoneOffset()}`;
  const told = () => document.cookie.split("; ").includes(own);
  if (told()) return;
  document.cookie = `${own}; path=/; max-age=31536000; samesite=strict`;
  // What was drawn by another clock is drawn again; a page that answers a press has no version and stays.
  if (told() && page?.dataset.version && document.querySelector("time")) location.reload();
}

/** Binds what stands on a page. */
function ready(root) {
  live(root);
  pads(root);
  cameras(root);
}

scanners();
clock();
keepsHalves();
ready(document);
listen();
awake();
document.addEventListener("visibilitychange", awake);

// A page that comes back out of the browser's memory carries the id of a form that was sent: ask for it anew.
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
