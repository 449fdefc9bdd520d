// The report's list and filters, and what is chosen. The page is whole without script; this adds pins, zoom and choosing.
(() => {
  const status = document.getElementById("status");
  const onPaper = matchMedia("print");
  const rulePages = new Map([...document.querySelectorAll(".rule-page")].map((page) => [page.dataset.rule, page]));
  document.documentElement.classList.add("js");

  const say = (text) => { status.textContent = text; };

  // One page of one file: its picture, its list, what the filters let through.
  class Sheet {
    constructor(page) {
      this.page = page;
      this.root = document.getElementById(page.id);
      this.entries = [...this.root.querySelectorAll(".entry")];
      this.open = null;
      const viewport = this.root.querySelector(".viewport");
      if (!viewport) return;
      this.byId = new Map(page.places.map((place) => [place.id, place]));
      this.picture = new Picture(viewport, page, (id) => this.choose(document.getElementById(id), true));
      this.listen();
    }
    get listed() { return this.entries.filter((entry) => !entry.hidden); }
    choose(entry, focus) {
      const again = entry === this.open;
      if (this.open) {
        this.open.classList.remove("open");
        this.open.querySelector(".row").setAttribute("aria-expanded", "false");
        this.open = null;
      }
      if (again && !focus) { this.picture.point(null); this.picture.apply(); return; }
      this.open = entry;
      entry.classList.add("open");
      const row = entry.querySelector(".row");
      row.setAttribute("aria-expanded", "true");
      this.explain(entry);
      if (focus) row.focus({ preventScroll: true });
      this.bring(entry);
      const place = this.byId.get(entry.id) || null;
      this.picture.point(place);
      if (place) this.picture.show(place); else this.picture.fit();
      const listed = this.listed;
      say(`${listed.indexOf(entry) + 1} of ${listed.length}. ${place ? "The picture shows the place." : "It has no place on the picture."}`);
    }
    bring(entry) {
      entry.scrollIntoView({ block: "nearest" });
      const heading = entry.closest(".group").querySelector("h3").offsetHeight;
      const list = this.root.querySelector(".list");
      const above = entry.getBoundingClientRect().top - list.getBoundingClientRect().top - heading;
      if (Picture.wide.matches && above < 0) list.scrollTop += above;
    }
    explain(entry) {
      const room = entry.querySelector(".why"), page = rulePages.get(entry.dataset.rule);
      if (!page || room.childElementCount) return;
      for (const heading of ["Why it matters", "How to mend it"]) {
        const part = page.querySelector(`[data-heading="${heading}"]`);
        if (part) room.append(part.cloneNode(true));
      }
      const limits = page.querySelector('[data-heading="Known limits"]');
      if (!limits) return;
      const details = make("details");
      details.append(make("summary", "", "What the rule looks for, its known limits and settings"));
      for (const heading of ["What it finds", "Known limits", "Settings"]) {
        const part = page.querySelector(`[data-heading="${heading}"]`);
        if (part) details.append(part.cloneNode(true));
      }
      room.append(details);
    }
    step(by) {
      const listed = this.listed;
      if (!listed.length) return;
      const now = this.open ? listed.indexOf(this.open) : -1;
      const next = now < 0 ? (by > 0 ? 0 : listed.length - 1) : now + by;
      if (next >= 0 && next < listed.length) this.choose(listed[next], true);
    }
    whole() {
      if (this.open) this.choose(this.open, false);
      this.picture.point(null);
      this.picture.fit();
    }
    filter() {
      const form = this.root.querySelector(".filters");
      const kinds = new Set([...form.querySelectorAll("[name=kind]:checked")].map((box) => box.value));
      const rule = form.elements.rule.value, words = form.elements.words.value.trim().toLowerCase().split(/\s+/);
      let count = 0;
      for (const entry of this.entries) {
        entry.words ||= entry.textContent.toLowerCase();
        const passes = kinds.has(entry.dataset.kind) && (!rule || entry.dataset.rule === rule) && words.every((word) => entry.words.includes(word));
        entry.hidden = !passes;
        count += passes;
      }
      for (const group of this.root.querySelectorAll(".group")) group.hidden = !group.querySelector(".entry:not([hidden])");
      this.root.querySelector(".none").hidden = count > 0;
      this.picture.places = this.page.places.filter((place) => !document.getElementById(place.id).hidden);
      if (this.open && this.open.hidden) this.whole();
      if (this.picture.view) this.picture.apply();
      say(`${count} of ${this.entries.length} listed.`);
    }
    listen() {
      for (const entry of this.entries) entry.querySelector(".row").setAttribute("aria-expanded", "false");
      this.root.addEventListener("click", (event) => {
        const row = event.target.closest(".row"), zoom = event.target.closest("[data-zoom]");
        if (row) this.choose(row.closest(".entry"), false);
        else if (zoom?.dataset.zoom === "in") this.picture.zoom(1.5);
        else if (zoom?.dataset.zoom === "out") this.picture.zoom(1 / 1.5);
        else if (zoom) this.whole();
        else if (event.target.closest(".clear")) this.clear();
      });
      this.root.addEventListener("change", (event) => {
        const { step } = event.target.dataset;
        if (step === undefined) return;
        this.root.querySelector(`.step[data-step="${step}"]`).style.display = event.target.checked ? "" : "none";
      });
      const form = this.root.querySelector(".filters");
      form?.addEventListener("input", () => this.filter());
      form?.addEventListener("submit", (event) => event.preventDefault());
      if (form?.querySelector("[name=kind]:not(:checked)")) this.filter();
    }
    clear() {
      const form = this.root.querySelector(".filters");
      form.reset();
      for (const box of form.querySelectorAll("[name=kind]")) box.checked = true;
      this.filter();
    }
    shown(yes) {
      this.root.classList.toggle("shown", yes);
      if (yes && this.picture && !this.picture.view) this.picture.fit();
    }
  }

  const sheets = JSON.parse(document.getElementById("report-data").textContent).map((page) => new Sheet(page));
  const links = [...document.querySelectorAll("nav a")];
  let current = null;
  const turn = (sheet) => {
    if (!sheet || sheet === current) return;
    current = sheet;
    for (const other of sheets) other.shown(other === sheet);
    for (const link of links) {
      if (link.hash === `#${sheet.page.id}`) link.setAttribute("aria-current", "page"); else link.removeAttribute("aria-current");
    }
  };
  const asked = () => sheets.find((sheet) => `#${sheet.page.id}` === location.hash);
  for (const link of links) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      turn(sheets.find((sheet) => `#${sheet.page.id}` === link.hash));
      say(`${link.querySelector(".name").textContent} is shown.`);
    });
  }
  turn(asked() || sheets[0]);
  addEventListener("hashchange", () => turn(asked()));

  const typing = (target) => target.closest("select, textarea, input[type=search]");
  document.addEventListener("keydown", (event) => {
    if (!current?.picture || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape") {
      if (typing(event.target)) event.target.blur();
      current.whole();
      return;
    }
    if (typing(event.target)) return;
    const inList = event.target.closest(".list");
    const action = {
      j: () => current.step(1), k: () => current.step(-1),
      ArrowDown: inList && (() => current.step(1)), ArrowUp: inList && (() => current.step(-1)),
      "+": () => current.picture.zoom(1.5), "=": () => current.picture.zoom(1.5), "-": () => current.picture.zoom(1 / 1.5),
      0: () => current.whole(), "/": () => current.root.querySelector("[name=words]")?.focus(),
    }[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  });

  const print = (yes) => { for (const sheet of sheets) sheet.picture?.onto(yes); };
  addEventListener("beforeprint", () => print(true));
  addEventListener("afterprint", () => print(false));
  onPaper.addEventListener("change", (event) => print(event.matches));
})();
