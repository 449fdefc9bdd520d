// A list of any length of which only the rows in sight are in the page. Knows nothing of files.
class List {
  // `rowOf(place)` and `detailOf(place)` make elements. Rows are all of one height, which the style sets.
  constructor(grid, rowOf, detailOf) {
    this.grid = grid;
    this.scroller = grid.querySelector(".rows");
    this.rowOf = rowOf;
    this.detailOf = detailOf;
    this.room = this.scroller.appendChild(document.createElement("div"));
    this.room.className = "room";
    this.room.setAttribute("role", "presentation");
    this.most = Number(grid.dataset.most); // px: browsers let no element be taller than some
    this.rows = new Map();
    this.count = 0;
    this.current = -1;
    this.opened = -1;
    this.extra = 0;
    this.scroller.addEventListener("scroll", () => this.soon());
    new ResizeObserver(() => { this.measure(); this.soon(); }).observe(this.scroller);
    grid.addEventListener("keydown", (event) => this.pressed(event));
    this.scroller.addEventListener("click", (event) => {
      const row = event.target.closest("[data-place]");
      if (!row || event.target.closest("a, button, input")) return;
      this.toggle(Number(row.dataset.place));
    });
  }
  // Show so many rows from the first on; all are made anew.
  show(count) {
    this.count = count;
    this.grid.setAttribute("aria-rowcount", count + 1);
    this.close();
    this.current = -1;
    this.scroller.scrollTop = 0;
    this.again();
  }
  again() {
    this.rows.clear();
    this.detail = null;
    this.room.replaceChildren();
    this.measure();
    this.render();
  }
  measure() {
    const height = parseFloat(getComputedStyle(this.grid).getPropertyValue("--row")) || 4;
    // Whole pixels: rows are placed by multiples of it, and thin lines between them must not be rounded away.
    this.height = Math.round(height * parseFloat(getComputedStyle(document.documentElement).fontSize));
    this.grid.style.setProperty("--tall", `${this.height}px`);
    if (this.detail) this.extra = this.detail.offsetHeight;
  }
  get view() { return this.scroller.clientHeight; }
  get total() { return this.count * this.height + this.extra; }
  get tall() { return Math.min(this.total, this.most); }
  top(place) { return place * this.height + (this.opened >= 0 && place > this.opened ? this.extra : 0); }
  at(y) {
    const end = (this.opened + 1) * this.height;
    if (this.opened < 0 || y < end) return Math.floor(y / this.height);
    return y < end + this.extra ? this.opened : Math.floor((y - this.extra) / this.height);
  }
  // Where the list is looked at, in its own measure: it may be taller than what is scrolled through.
  get offset() {
    const { scrollTop } = this.scroller, past = this.tall - this.view;
    return this.total === this.tall || past <= 0 ? scrollTop : scrollTop * (this.total - this.view) / past;
  }
  set offset(y) {
    const past = this.total - this.view;
    this.scroller.scrollTop = this.total === this.tall || past <= 0 ? y : y * (this.tall - this.view) / past;
  }
  soon() {
    this.frame ||= requestAnimationFrame(() => { this.frame = 0; this.render(); });
  }
  render() {
    this.room.style.height = `${this.tall}px`;
    const { offset } = this, shift = this.scroller.scrollTop - offset;
    const first = Math.max(0, this.at(offset) - 3), last = Math.min(this.count - 1, this.at(offset + this.view) + 3);
    for (const [place, row] of this.rows) {
      if (place < first || place > last) { row.remove(); this.rows.delete(place); }
    }
    for (let place = first; place <= last; place++) {
      if (!this.rows.has(place)) this.rows.set(place, this.made(place));
      this.rows.get(place).style.transform = `translateY(${this.top(place) + shift}px)`;
    }
    if (this.detail) this.detail.style.transform = `translateY(${this.top(this.opened) + this.height + shift}px)`;
    if (!this.rows.has(this.current)) this.grid.removeAttribute("aria-activedescendant");
  }
  made(place) {
    const row = this.rowOf(place);
    row.id = `row-${place}`;
    row.dataset.place = place;
    row.setAttribute("role", "row");
    row.setAttribute("aria-rowindex", place + 2);
    const next = [...this.rows.entries()].filter(([other]) => other > place).sort(([a], [b]) => a - b)[0];
    this.room.insertBefore(row, next ? next[1] : null);
    this.marked(place, row);
    return row;
  }
  marked(place, row) {
    const chosen = place === this.current;
    row.classList.toggle("current", chosen);
    row.setAttribute("aria-selected", chosen);
    row.setAttribute("aria-expanded", place === this.opened);
    if (chosen) this.grid.setAttribute("aria-activedescendant", row.id);
  }
  go(place) {
    if (!this.count) return;
    const before = this.current;
    this.current = Math.max(0, Math.min(this.count - 1, place));
    const top = this.top(this.current), below = top + this.height;
    if (top < this.offset) this.offset = top;
    else if (below > this.offset + this.view) this.offset = below - this.view;
    this.render();
    for (const one of [before, this.current]) if (this.rows.has(one)) this.marked(one, this.rows.get(one));
  }
  toggle(place) {
    const again = place === this.opened;
    this.close();
    if (again) { this.go(place); this.onopen(-1); return; }
    this.opened = place;
    this.detail = this.room.appendChild(this.detailOf(place));
    this.measure();
    this.go(place);
    const end = this.top(place) + this.height + this.extra;
    if (end > this.offset + this.view) this.offset = Math.min(this.top(place), end - this.view);
    this.render();
    this.onopen(place);
  }
  close() {
    const was = this.opened;
    this.detail?.remove();
    Object.assign(this, { detail: null, opened: -1, extra: 0 });
    if (this.rows.has(was)) this.marked(was, this.rows.get(was));
    if (was >= 0) this.render();
    return was >= 0;
  }
  pressed(event) {
    if (event.target !== this.grid || event.ctrlKey || event.metaKey || event.altKey) return;
    const page = Math.max(1, Math.floor(this.view / this.height) - 1);
    const action = {
      ArrowDown: () => this.go(this.current + 1), ArrowUp: () => this.go(this.current - 1),
      PageDown: () => this.go(this.current + page), PageUp: () => this.go(this.current - page),
      Home: () => this.go(0), End: () => this.go(this.count - 1),
      Enter: () => this.current >= 0 && this.toggle(this.current), " ": () => this.current >= 0 && this.toggle(this.current),
    }[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  }
}
