// Where the trouble is: the choices beside the list, each with what it would let through.
const FOLDERS_AT_ONCE = 12, RULES_AT_ONCE = 12;

class Facets {
  // `choose(change)` takes a part of what is chosen.
  constructor(files, choose) {
    this.files = files;
    this.choose = choose;
    this.tiles = [...document.querySelectorAll(".tile")];
    for (const tile of this.tiles) tile.first = { number: tile.querySelector(".number").textContent, against: [...tile.querySelector(".against").childNodes] };
    this.changes = [...document.querySelectorAll("[data-change]")];
    this.rules = [...document.querySelectorAll("[data-rule]")];
    for (const row of this.rules) row.first = row.cells[3]?.textContent;
    this.months = [...document.querySelectorAll("[data-month]")];
    this.trail = document.querySelector(".trail");
    this.folderBody = document.querySelector(".folders tbody");
    this.moreRules = document.querySelector(".more-rules");
    this.rulesShown = RULES_AT_ONCE;
    this.moreFolders = document.querySelector(".more-folders");
    this.foldersShown = FOLDERS_AT_ONCE;
    this.listen();
  }
  listen() {
    for (const tile of this.tiles.filter(({ tagName }) => tagName === "BUTTON")) {
      tile.addEventListener("click", () => this.choose({ kinds: this.chosen.kinds.includes(tile.dataset.kind) ? this.chosen.kinds.filter((kind) => kind !== tile.dataset.kind) : [...this.chosen.kinds, tile.dataset.kind] }));
    }
    const toggled = (key, value, none) => this.choose({ [key]: this.chosen[key] === value ? none : value });
    for (const button of this.changes) button.addEventListener("click", () => toggled("change", button.dataset.change, ""));
    for (const row of this.rules) row.addEventListener("click", () => toggled("rule", Number(row.dataset.rule), -1));
    for (const button of this.months) button.addEventListener("click", () => button.dataset.month && toggled("month", button.dataset.month, ""));
    this.folderBody.addEventListener("click", (event) => {
      const row = event.target.closest("tr");
      if (row) this.choose({ folder: row.folder });
    });
    this.trail.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (button) this.choose({ folder: button.folder });
    });
    this.moreRules?.addEventListener("click", (event) => {
      if (!event.target.closest("button")) return;
      this.rulesShown = this.rules.length;
      this.showRules();
    });
    this.moreFolders.addEventListener("click", (event) => {
      if (!event.target.closest("button")) return;
      this.foldersShown *= 4;
      this.showFolders();
    });
  }
  show(chosen, found) {
    if (!this.chosen || this.chosen.folder !== chosen.folder) this.foldersShown = FOLDERS_AT_ONCE;
    Object.assign(this, { chosen, found });
    this.showTiles();
    this.showRules();
    this.showChanges();
    this.showFolders();
    this.showMonths();
  }
  // Differences to the run before are those of the whole audit: they are told only while nothing narrows it.
  narrowed(...but) {
    const { words, format, rule, folder, month, change, kinds } = this.chosen;
    const active = { words: words.trim(), format: format >= 0, rule: rule >= 0, folder, month, change, kinds: kinds.length };
    return Object.entries(active).some(([key, on]) => on && !but.includes(key));
  }
  showTiles() {
    const narrowed = this.narrowed("kinds");
    for (const tile of this.tiles) {
      const { kind } = tile.dataset;
      tile.querySelector(".number").textContent = many(this.found.whole[kind]);
      if (narrowed) tile.querySelector(".against").replaceChildren(`of ${tile.first.number}`);
      else tile.querySelector(".against").replaceChildren(...tile.first.against);
      tile.classList.toggle("narrowed", narrowed);
      if (kind !== "files") tile.setAttribute("aria-pressed", this.chosen.kinds.includes(kind));
    }
  }
  showRules() {
    const narrowed = this.narrowed("rule");
    for (const [place, row] of this.rules.entries()) {
      const rule = Number(row.dataset.rule), { files, findings } = this.found.rules[rule];
      row.hidden = place >= this.rulesShown && rule !== this.chosen.rule;
      row.cells[1].textContent = many(files);
      row.cells[2].textContent = many(findings);
      row.classList.toggle("nil", !files);
      if (row.cells[3]) row.cells[3].textContent = narrowed ? "" : row.first;
      this.press(row, row.querySelector("button"), rule === this.chosen.rule);
    }
    this.offerMore(this.moreRules, this.rules.filter((row) => row.hidden).length);
  }
  press(row, button, on) {
    row.classList.toggle("on", on);
    button.setAttribute("aria-pressed", on);
  }
  showChanges() {
    for (const button of this.changes) {
      button.querySelector("b").textContent = many(this.found.changes[CHANGES.indexOf(button.dataset.change) + 1]);
      this.press(button, button, button.dataset.change === this.chosen.change);
    }
  }
  showMonths() {
    const { months } = this.files, { monthFiles, monthTroubled } = this.found;
    const most = Math.max(1, ...monthFiles);
    for (const bar of this.months) {
      const { month } = bar.dataset;
      this.press(bar, bar, month !== "" && month === this.chosen.month);
      if (!bar.classList.contains("bar")) continue;
      const place = month ? months.indexOf(month) : months.length;
      const [all, troubled] = bar.querySelectorAll("rect");
      all.setAttribute("height", monthFiles[place] / most * 100);
      troubled.setAttribute("height", monthTroubled[place] / most * 100);
      const told = `${month || "Month not known"}: ${counted(monthFiles[place], "file")}, ${many(monthTroubled[place])} with errors or unreadable`;
      bar.setAttribute("aria-label", told);
      bar.title = told;
    }
    this.bringMonth();
  }
  // The strip of months may be longer than its place: the last month with files comes into sight where none is.
  bringMonth() {
    const strip = document.querySelector(".months"), frame = strip?.getBoundingClientRect();
    const full = this.months.filter((bar) => bar.matches(".bar") && bar.querySelector("rect").getAttribute("height") > 0);
    const within = (bar) => { const box = bar.getBoundingClientRect(); return box.left >= frame.left && box.right <= frame.right; };
    if (!full.length || full.some(within)) return;
    strip.scrollLeft += full.at(-1).getBoundingClientRect().right - frame.right + 20;
  }

  // The folders right below the one chosen, each with all that is below it; one that leads to a single folder is passed over.
  below(chosen) {
    const { folders } = this.files, { folderFiles, folderAmounts } = this.found;
    const inside = [];
    for (let at = 0; at < folders.length; at++) {
      if (folderFiles[at] && (!chosen || folders[at] === chosen || folders[at].startsWith(`${chosen}/`))) inside.push(at);
    }
    const shared = this.shared(inside.map((at) => folders[at]), chosen);
    const start = shared ? shared.length + 1 : 0, rows = new Map();
    for (const at of inside) {
      const own = folders[at], end = own.indexOf("/", start);
      const folder = own === shared ? own : end < 0 ? own : own.slice(0, end);
      const row = rows.get(folder) || { folder, files: 0, amount: 0 };
      row.files += folderFiles[at];
      row.amount += folderAmounts[at];
      rows.set(folder, row);
    }
    return { shared, rows: [...rows.values()].sort((a, b) => b.amount - a.amount || b.files - a.files || (a.folder < b.folder ? -1 : 1)) };
  }
  shared(folders, chosen) {
    if (!folders.length || folders.includes("")) return chosen;
    let shared = chosen;
    for (const step of folders[0].split("/").slice(chosen ? chosen.split("/").length : 0)) {
      const deeper = shared ? `${shared}/${step}` : step;
      if (!folders.every((folder) => folder === deeper || folder.startsWith(`${deeper}/`))) break;
      shared = deeper;
    }
    return shared;
  }
  showFolders() {
    const { folder: chosen, rule } = this.chosen, { shared, rows } = this.below(chosen);
    document.querySelector(".folders .amount").textContent = rule >= 0 ? "Findings" : "Errors";
    const most = Math.max(1, ...rows.slice(0, 1).map(({ amount }) => amount));
    this.folderBody.replaceChildren(...rows.slice(0, this.foldersShown).map((row) => this.folderRow(row, shared, most)));
    this.offerMore(this.moreFolders, rows.length - this.foldersShown);
    this.showTrail(shared, chosen);
  }
  offerMore(place, left) {
    place?.replaceChildren();
    if (left <= 0) return;
    const more = make("button", "more", `${many(left)} more`);
    more.type = "button";
    place.append(more);
  }
  folderRow({ folder, files, amount }, shared, most) {
    const row = make("tr"), head = make("th"), button = make("button");
    row.folder = folder;
    head.scope = "row";
    button.type = "button";
    const words = folder === shared ? "(in the folder itself)" : folder.slice(shared ? shared.length + 1 : 0);
    const name = make("bdi", "name", printable(words));
    name.title = printable(folder);
    button.append(name);
    if (folder === shared) button.disabled = true;
    const bar = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    bar.setAttribute("viewBox", "0 0 100 1");
    bar.setAttribute("preserveAspectRatio", "none");
    bar.setAttribute("class", "share");
    bar.setAttribute("aria-hidden", "true");
    const part = bar.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "rect"));
    part.setAttribute("width", amount / most * 100);
    part.setAttribute("height", 1);
    head.append(button, bar);
    row.append(head, make("td", "", many(files)), make("td", "", many(amount)));
    row.classList.toggle("nil", !amount);
    return row;
  }
  // The way down to what is listed, also where no other way leads anywhere.
  showTrail(shared, chosen) {
    this.trail.hidden = !shared;
    const steps = shared ? shared.split("/") : [];
    const step = (words, folder) => {
      const button = make("button", "", words);
      button.type = "button";
      button.folder = folder;
      return button;
    };
    this.trail.replaceChildren(chosen ? step("All folders", "") : make("strong", "", "All folders"));
    steps.forEach((words, at) => {
      const folder = steps.slice(0, at + 1).join("/");
      this.trail.append(make("span", "", "/"), folder === chosen ? make("strong", "", printable(words)) : step(printable(words), folder));
    });
  }
}
