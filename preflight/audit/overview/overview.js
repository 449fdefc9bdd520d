// What is chosen, kept in the address so that a view can be sent to somebody; the list and the choices follow it.
(() => {
  const files = new Files(JSON.parse(document.getElementById("audit-data").textContent));
  const rows = new Rows(files);
  const form = document.querySelector(".search"), grid = document.querySelector(".grid");
  const none = document.querySelector(".none"), paper = document.querySelector(".on-paper");
  const count = document.querySelector(".count"), chips = document.querySelector(".chosen");
  const status = document.getElementById("status");
  const narrow = matchMedia("(max-width: 59.99rem)");
  const ON_PAPER = 60; // files printed: the list may be as long as the audit
  const FIRST_DOWN = new Set(["error", "warning", "note", "unchecked", "waived", "month", "report", "rule"]);
  const PLAIN = { words: "", kinds: [], rule: -1, folder: "", month: "", change: "", format: -1, sort: "error", down: true };
  document.documentElement.classList.add("js");
  const say = (text) => { status.textContent = text; };

  let chosen = { ...PLAIN }, found = null;
  const list = new List(grid, (place) => rows.row(found.rows[place], chosen.rule), (place) => rows.detail(found.rows[place]));
  const facets = new Facets(files, (change) => choose(change));

  // The address: only what differs from the plain view, rules and formats by name.
  function address(opened) {
    const told = new URLSearchParams();
    if (chosen.words.trim()) told.set("find", chosen.words.trim());
    if (chosen.kinds.length) told.set("level", chosen.kinds.join(","));
    if (chosen.rule >= 0) told.set("rule", files.rules[chosen.rule]);
    for (const key of ["folder", "month", "change"]) if (chosen[key]) told.set(key, chosen[key]);
    if (chosen.format >= 0) told.set("format", files.formats[chosen.format]);
    if (chosen.sort !== PLAIN.sort || chosen.down !== PLAIN.down) told.set("sort", (chosen.down ? "-" : "") + chosen.sort);
    if (opened >= 0) told.set("file", files.path(found.rows[opened]));
    return `#${told}`;
  }
  function read() {
    const told = new URLSearchParams(location.hash.slice(1)), text = (key) => told.get(key) || "";
    const rule = files.rules.indexOf(text("rule")), sort = text("sort") || "-error", key = sort.replace(/^-/, "");
    const known = COLUMNS.some(([name]) => name === key) || key === "rule" && rule >= 0;
    return {
      words: text("find"), rule, folder: text("folder"), month: text("month"),
      kinds: text("level").split(",").filter((kind) => KINDS.includes(kind)),
      change: CHANGES.includes(text("change")) ? text("change") : "",
      format: files.formats.indexOf(text("format")),
      sort: known ? key : "error", down: known ? sort.startsWith("-") : true,
    };
  }
  function remember(opened, anew) {
    const to = address(opened);
    if (to === (location.hash || "#")) return;
    history[anew ? "pushState" : "replaceState"](null, "", to === "#" ? location.href.replace(/#.*/s, "") : to);
  }

  function choose(change, anew = true) {
    chosen = { ...chosen, ...change };
    if (chosen.rule < 0 && chosen.sort === "rule") Object.assign(chosen, { sort: "error", down: true });
    if (change.rule >= 0 && chosen.sort === "error") Object.assign(chosen, { sort: "rule", down: true });
    show();
    remember(-1, anew);
    say(count.textContent);
  }
  function show() {
    found = files.select(chosen);
    const { length } = found.rows;
    count.textContent = length === files.count ? counted(length, "file") : `${many(length)} of ${counted(files.count, "file")}`;
    none.hidden = length > 0;
    grid.hidden = !length;
    if (form.elements.words.value.trim() !== chosen.words.trim()) form.elements.words.value = chosen.words;
    form.elements.format.value = chosen.format;
    grid.querySelector(".head").replaceChildren(rows.header(chosen.sort, chosen.down));
    showOrders();
    showChips();
    facets.show(chosen, found);
    list.show(length);
  }
  function showOrders() {
    const orders = COLUMNS.flatMap(([key, words]) => FIRST_DOWN.has(key) ? [[`-${key}`, `${words}, most first`], [key, `${words}, fewest first`]] : [[key, words], [`-${key}`, `${words}, backwards`]]);
    const first = [["-month", "Month, latest first"], ["month", "Month, earliest first"], ["-report", "With a report first"], ["report", "Without a report first"], ["-error", "Worst first"], ["error", "Best first"]];
    const told = new Map([...orders, ...first]);
    if (chosen.rule >= 0) told.set("-rule", `Most of ${printable(files.rules[chosen.rule])} first`);
    form.elements.sort.replaceChildren(...[...told].map(([value, words]) => new Option(words, value)));
    form.elements.sort.value = (chosen.down ? "-" : "") + chosen.sort;
  }
  function showChips() {
    const told = [];
    const chip = (words, change) => {
      const button = make("button", "chip", "");
      button.type = "button";
      button.append(make("bdi", "", words), make("span", "cross", "×"));
      button.setAttribute("aria-label", `${words}: leave this choice`);
      button.addEventListener("click", () => choose(change));
      told.push(button);
    };
    const KIND_WORDS = { unreadable: "unreadable", error: "errors", warning: "warnings", note: "notes", unchecked: "not checked", waived: "waived", clean: "in order" };
    for (const kind of chosen.kinds) chip(KIND_WORDS[kind], { kinds: chosen.kinds.filter((one) => one !== kind) });
    if (chosen.rule >= 0) chip(printable(files.rules[chosen.rule]), { rule: -1 });
    if (chosen.folder) chip(`${printable(chosen.folder)}/`, { folder: "" });
    if (chosen.month) chip(printable(chosen.month), { month: "" });
    if (chosen.change) chip({ worse: "more errors than before", better: "fewer errors than before", new: "new" }[chosen.change], { change: "" });
    if (chosen.format >= 0) chip(files.formats[chosen.format], { format: -1 });
    if (told.length > 1) {
      const all = make("button", "clear", "Show everything");
      all.type = "button";
      told.push(all);
    }
    chips.hidden = !told.length;
    chips.replaceChildren(...told);
  }
  // What the address asks for, the file that it opens included.
  function follow() {
    chosen = read();
    show();
    const path = new URLSearchParams(location.hash.slice(1)).get("file");
    const place = path === null ? -1 : found.rows.findIndex((file) => files.path(file) === path);
    if (place >= 0) list.toggle(place);
  }

  list.onopen = (place) => remember(place, false);
  form.elements.format.append(...files.formats.map((format, at) => new Option(format, at)));
  form.elements.format.options[0].value = -1;
  form.addEventListener("submit", (event) => event.preventDefault());
  form.elements.words.addEventListener("input", () => choose({ words: form.elements.words.value }, false));
  form.elements.format.addEventListener("change", () => choose({ format: Number(form.elements.format.value) }));
  form.elements.sort.addEventListener("change", () => {
    const { value } = form.elements.sort;
    choose({ sort: value.replace(/^-/, ""), down: value.startsWith("-") });
  });
  grid.querySelector(".head").addEventListener("click", (event) => {
    const key = event.target.closest("[data-sort]")?.dataset.sort;
    if (!key) return;
    choose({ sort: key, down: key === chosen.sort ? !chosen.down : FIRST_DOWN.has(key) });
    grid.querySelector(`[data-sort=${key}]`).focus();
  });
  document.addEventListener("click", async (event) => {
    if (event.target.closest(".clear")) { choose({ ...PLAIN, sort: chosen.sort === "rule" ? "error" : chosen.sort, down: chosen.down }); form.elements.words.focus(); }
    const copy = event.target.closest("[data-copy]");
    if (!copy) return;
    try {
      await navigator.clipboard.writeText(copy.dataset.copy);
      copy.textContent = "Copied";
      say("The command is copied.");
    } catch {
      getSelection().selectAllChildren(copy.previousSibling);
      say("The command is selected: copy it from here.");
    }
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const typing = event.target.closest("input, select");
    if (event.key === "/" && !typing) { event.preventDefault(); form.elements.words.focus(); }
    if (event.key === "Escape") {
      if (list.close()) { remember(-1, false); grid.focus(); }
      else if (event.target === form.elements.words && chosen.words) choose({ words: "" }, false);
    }
    if (event.key === "ArrowDown" && event.target === form.elements.words) { event.preventDefault(); grid.focus(); list.go(Math.max(0, list.current)); }
  });
  addEventListener("popstate", follow);
  addEventListener("hashchange", follow);
  if (narrow.matches) for (const facet of document.querySelectorAll("details.facet")) facet.open = false;
  for (const years of document.querySelectorAll(".months")) years.scrollLeft = years.scrollWidth;

  // On paper: the first files of the list as it is, in the flow of the page.
  addEventListener("beforeprint", () => {
    const shown = Math.min(ON_PAPER, found.rows.length), head = grid.querySelector(".rows");
    paper.hidden = false;
    paper.textContent = shown < found.rows.length ? `The first ${shown} of ${counted(found.rows.length, "file")}.` : "";
    list.room.hidden = true;
    for (let place = 0; place < shown; place++) {
      const row = rows.row(found.rows[place], chosen.rule);
      row.setAttribute("role", "row");
      row.classList.add("printed");
      head.append(row);
    }
  });
  addEventListener("afterprint", () => {
    paper.hidden = true;
    list.room.hidden = false;
    for (const row of grid.querySelectorAll(".printed")) row.remove();
  });

  follow();
  // The first letter typed need not wait for what is searched to be made ready.
  (window.requestIdleCallback || setTimeout)(() => files.text);
  document.documentElement.classList.add("ready");
})();
