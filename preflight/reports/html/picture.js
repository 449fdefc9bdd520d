// The picture: where it looks (mm), how large (px per mm), and the pins in sight.
// Knows neither list nor filters.
const Picture = (() => {
  const PIN_CELL = 30; // px: pins closer than this are drawn as one
  const MOST_PINS = 70; // drawn at once, so that the art stays in sight under 2,000 findings
  const PRINT_WIDTH = 680; // px: what a printed page is taken to be wide when pins are gathered for it
  const LEAST_SPAN = 12; // mm of the page that a chosen finding is shown within, at least
  const MOST_SCALE = 4000; // px per mm
  const QUICK = 300000; // characters of path data up to which zooming glides
  const calm = matchMedia("(prefers-reduced-motion: reduce)");

  return class Picture {
    // Whether the list stands beside the picture, and each scrolls by itself.
    static wide = matchMedia("(min-width: 60rem) and (min-height: 34rem)");
    constructor(root, page, choose) {
      this.page = page;
      this.choose = choose;
      this.root = root;
      this.paper = root.querySelector(".paper");
      this.overlay = root.querySelector(".overlay");
      this.pins = root.querySelector(".pins");
      this.chosen = root.querySelector(".chosen");
      this.places = page.places;
      this.measures = new Measures(root.querySelector(".measures"), root.querySelector(".legend"));
      this.mark = null;
      this.printing = false;
      root.style.setProperty("--aspect", page.width / page.height || 1);
      const drawn = [...root.querySelectorAll(".line path")].reduce((sum, path) => sum + path.getAttribute("d").length, 0);
      this.glides = drawn < QUICK;
      this.fitted = true;
      new ResizeObserver(() => { if (!this.printing) this.fitted ? this.fit() : this.apply(); }).observe(root);
      this.listen();
    }
    get size() { return [this.root.clientWidth || 1, this.root.clientHeight || 1]; }
    get fitScale() {
      const [width, height] = this.size;
      return Math.min(width / this.page.width, height / this.page.height) * 0.94 || 1;
    }
    fit() {
      this.fitted = true;
      this.go(this.page.width / 2, this.page.height / 2, this.fitScale, false);
    }
    go(x, y, scale, glide) {
      cancelAnimationFrame(this.frame);
      const most = Math.max(MOST_SCALE, this.fitScale), least = this.fitScale / 4;
      const goal = { x, y, scale: Math.min(most, Math.max(least, scale)) };
      const from = this.view;
      if (!glide || !from || calm.matches || !this.glides) { this.view = goal; this.apply(); return; }
      const start = performance.now();
      const step = (now) => {
        const part = Math.min(1, (now - start) / 260), eased = 1 - (1 - part) ** 3;
        const scaleNow = from.scale * (goal.scale / from.scale) ** eased;
        // Keep the path of the centre straight on the screen while the scale changes by a factor.
        const weight = goal.scale === from.scale ? eased : (1 / from.scale - 1 / scaleNow) / (1 / from.scale - 1 / goal.scale);
        this.view = { x: from.x + (goal.x - from.x) * weight, y: from.y + (goal.y - from.y) * weight, scale: scaleNow };
        if (part === 1) this.view = goal;
        this.apply();
        if (part < 1) this.frame = requestAnimationFrame(step);
      };
      this.frame = requestAnimationFrame(step);
    }
    zoom(factor, x = this.view.x, y = this.view.y) {
      this.fitted = false;
      const scale = Math.min(Math.max(this.view.scale * factor, this.fitScale / 4), Math.max(MOST_SCALE, this.fitScale));
      const kept = this.view.scale / scale;
      this.go(x + (this.view.x - x) * kept, y + (this.view.y - y) * kept, scale, false);
    }
    show(place) {
      this.fitted = false;
      this.go(...Measures.view(place, this.size, LEAST_SPAN), true);
    }
    point(place) {
      this.mark = place;
      this.chosen.replaceChildren();
      this.measures.show(place);
      if (!place) return;
      if (place.box && !place.area) {
        const [x0, y0, x1, y1] = place.box;
        // Under a dimension line a box without breadth would be a second line.
        if (place.distance ? x1 - x0 > 0 && y1 - y0 > 0 : x1 - x0 > 0 || y1 - y0 > 0) draw(this.chosen, "rect", { x: x0, y: y0, width: x1 - x0, height: y1 - y0 });
      }
      const dots = place.points.map(([x, y]) => `M${x} ${y}h0`).join("");
      if (place.points.length > 1 && !place.distance) {
        draw(this.chosen, "path", { d: dots, class: "edge" });
        draw(this.chosen, "path", { d: dots });
      }
    }
    apply() {
      const { x, y, scale } = this.view;
      const [width, height] = this.size;
      const left = x - width / 2 / scale, top = y - height / 2 / scale;
      this.overlay.setAttribute("viewBox", `${left} ${top} ${width / scale} ${height / scale}`);
      const style = this.paper.style;
      style.left = `${-left * scale}px`;
      style.top = `${-top * scale}px`;
      style.width = `${this.page.width * scale}px`;
      style.height = `${this.page.height * scale}px`;
      this.root.dataset.scale = scale.toFixed(4);
      this.gather(left, top, width / scale, height / scale, scale);
    }
    onto(paper) {
      this.printing = paper;
      if (!paper) { if (this.view) this.apply(); return; }
      const { width, height } = this.page;
      cancelAnimationFrame(this.frame);
      this.overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
      this.paper.removeAttribute("style");
      const tall = document.querySelectorAll(".sheet").length > 1 ? 272 : 560; // px, --tall of the printed style
      const scale = Math.min(PRINT_WIDTH, tall * width / height) / width;
      this.gather(0, 0, width, height, scale);
    }
    // Pins in sight, those that would cover each other drawn as one with the worst one's number.
    gather(left, top, across, down, scale) {
      const shown = (this.printing ? this.page.places : this.places).filter(({ at: [x, y] }) =>
        x >= left && y >= top && x <= left + across && y <= top + down);
      let cells, cell = PIN_CELL / scale;
      do {
        cells = new Map();
        for (const place of shown) {
          const key = `${Math.floor(place.at[0] / cell / 2)},${Math.floor(place.at[1] / cell)}`;
          const group = cells.get(key);
          if (group) group.push(place); else cells.set(key, [place]);
        }
        cell *= 1.3;
      } while (cells.size > MOST_PINS);
      const pins = [];
      for (const group of cells.values()) {
        const [worst] = group;
        const mine = this.mark && group.includes(this.mark);
        const first = mine ? this.mark : worst;
        const label = group.length > 1 ? `${first.number} +${group.length - 1}` : first.number;
        const pin = make("span", `pin ${first.kind}`, label);
        // A pin of many stands in their midst, which keeps neighbours apart.
        const spot = (axis) => mine || group.length < 3 ? first.at[axis] : group.reduce((sum, place) => sum + place.at[axis], 0) / group.length;
        pin.style.left = `${(spot(0) - left) / across * 100}%`;
        pin.style.top = `${(spot(1) - top) / down * 100}%`;
        pin.dataset.entry = first.id;
        pin.group = group;
        pin.at = [(spot(0) - left) * scale, (spot(1) - top) * scale];
        pin.mine = mine;
        pins.push(pin);
      }
      if (this.mark) {
        const target = make("span", this.measures.distance ? "target measured" : "target");
        target.style.left = `${(this.mark.at[0] - left) / across * 100}%`;
        target.style.top = `${(this.mark.at[1] - top) / down * 100}%`;
        pins.unshift(target);
      }
      this.pins.replaceChildren(...pins);
      this.measure(left, top, scale, [across * scale, down * scale]);
    }
    // What the chosen finding measured, clear of the pins; its own pin stands beside the place, clear of what is drawn there.
    measure(left, top, scale, size) {
      const pins = [...this.pins.children].filter((pin) => pin.at);
      const taken = pins.filter((pin) => !pin.mine).map(({ at: [x, y] }) => [x - 22, y - 14, x + 22, y + 14]);
      const { legend } = this.measures;
      const { offsetLeft: x, offsetTop: y } = legend;
      if (!legend.hidden && !this.printing) taken.push([x, y, x + legend.offsetWidth, y + legend.offsetHeight]);
      const drawn = this.measures.at(left, top, scale, size, taken);
      const mine = pins.find((pin) => pin.mine);
      if (mine) mine.style.transform = `translate(${Measures.aside(mine.at, [mine.offsetWidth, mine.offsetHeight], drawn).map((by) => `${by}px`)})`;
    }
    // A click on a pin of several goes nearer until they part; those on one spot are chosen in turn.
    open(group) {
      const xs = group.map((place) => place.at[0]), ys = group.map((place) => place.at[1]);
      const across = Math.max(...xs) - Math.min(...xs), down = Math.max(...ys) - Math.min(...ys);
      const apart = Math.max(across, down);
      const [width, height] = this.size;
      if (group.length === 1 || apart * this.view.scale < 2 && this.view.scale >= Math.min(width, height) / LEAST_SPAN) {
        this.choose(group[(group.indexOf(this.mark) + 1) % group.length].id);
        return;
      }
      this.fitted = false;
      const scale = Math.min(width / Math.max(across * 1.3, LEAST_SPAN), height / Math.max(down * 1.3, LEAST_SPAN));
      this.go((Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2, Math.max(scale, this.view.scale * 1.6), true);
    }
    at(event) {
      const box = this.root.getBoundingClientRect(), [width, height] = this.size;
      return [
        this.view.x + (event.clientX - box.left - width / 2) / this.view.scale,
        this.view.y + (event.clientY - box.top - height / 2) / this.view.scale,
      ];
    }
    listen() {
      const root = this.root;
      let held = null;
      this.pins.addEventListener("click", (event) => {
        const pin = event.target.closest(".pin");
        if (pin) this.open(pin.group);
      });
      root.addEventListener("wheel", (event) => {
        if (!Picture.wide.matches && !event.ctrlKey) return;
        event.preventDefault();
        this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0018)), ...this.at(event));
      }, { passive: false });
      root.addEventListener("pointerdown", (event) => {
        if (event.button || event.target.closest(".pin")) return;
        held = [event.clientX, event.clientY];
        root.setPointerCapture(event.pointerId);
        root.classList.add("dragged");
      });
      root.addEventListener("pointermove", (event) => {
        if (!held) return;
        const [x, y] = held;
        held = [event.clientX, event.clientY];
        this.fitted = false;
        const { scale } = this.view;
        this.go(this.view.x - (event.clientX - x) / scale, this.view.y - (event.clientY - y) / scale, scale, false);
      });
      for (const end of ["pointerup", "pointercancel"]) {
        root.addEventListener(end, () => { held = null; root.classList.remove("dragged"); });
      }
      root.addEventListener("keydown", (event) => {
        const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
        event.preventDefault();
        this.fitted = false;
        const stride = 60 / this.view.scale;
        this.go(this.view.x + way[0] * stride, this.view.y + way[1] * stride, this.view.scale, false);
      });
    }
  };
})();
