// Draws what the chosen finding measured: the dimension line with its value, the distance asked for, the hatched area.
// Sizes are pixels of the screen at any zoom. Knows neither list nor filters.
const Measures = (() => {
  const TICK = 7; // px, half the stroke across each end
  const HEAD = [8, 3]; // px, an arrow head's length and half its width
  const TAIL = 20; // px, of arrows that stand outside
  const ROOM = 26; // px: a shorter line has its arrows outside
  const READABLE = 72; // px that a measured distance, or the one asked for, is shown long, if the least span allows
  const GAP = 8; // px between the line's ticks and the value
  const EDGE = 6; // px between the value and the picture's edge
  const HATCH = 12; // px between the lines of the hatching
  const NAMES = ["asked", "stop", "dimension", "heads"];

  const apart = ([x0, y0, x1, y1], [a0, b0, a1, b1]) => x1 <= a0 || a1 <= x0 || y1 <= b0 || b1 <= y0;
  const about = (x, y, across, down) => [x - across / 2, y - down / 2, x + across / 2, y + down / 2];

  // The part of a line that lies in a frame, as two places along it (0 to 1); null where none does.
  const clip = ([x0, y0], [x1, y1], [left, top, right, bottom]) => {
    let from = 0, to = 1;
    for (const [start, step, low, high] of [[x0, x1 - x0, left, right], [y0, y1 - y0, top, bottom]]) {
      if (!step) { if (start < low || start > high) return null; continue; }
      const ends = [(low - start) / step, (high - start) / step];
      from = Math.max(from, Math.min(...ends));
      to = Math.min(to, Math.max(...ends));
    }
    return from <= to ? [from, to] : null;
  };

  // Lines at 45° through the rings, even-odd, within the frame: no pattern, so that a line stays a line at any zoom.
  const hatching = (rings, [left, top, right, bottom]) => {
    const first = Math.ceil((left + top) / HATCH), last = Math.floor((right + bottom) / HATCH);
    const met = new Map();
    for (const ring of rings) {
      for (let at = 0; at + 3 < ring.length; at += 2) {
        const x0 = ring[at], y0 = ring[at + 1], x1 = ring[at + 2], y1 = ring[at + 3];
        const start = (x0 + y0) / HATCH, end = (x1 + y1) / HATCH;
        const low = Math.max(first, Math.ceil(Math.min(start, end))), high = Math.min(last, Math.ceil(Math.max(start, end)) - 1);
        for (let line = low; line <= high; line++) {
          const x = x0 + (x1 - x0) * (line - start) / (end - start);
          const row = met.get(line);
          if (row) row.push(x); else met.set(line, [x]);
        }
      }
    }
    let path = "";
    for (const [line, row] of met) {
      const sum = line * HATCH;
      row.sort((a, b) => a - b);
      for (let at = 0; at + 1 < row.length; at += 2) {
        const from = Math.max(row[at], left, sum - bottom), to = Math.min(row[at + 1], right, sum - top);
        if (to > from) path += `M${from.toFixed(1)} ${(sum - from).toFixed(1)}L${to.toFixed(1)} ${(sum - to).toFixed(1)}`;
      }
    }
    return path;
  };

  const head = ([x, y], [along, across], way) => {
    const back = HEAD[0] * way, side = HEAD[1];
    return `M${x} ${y}L${x + along * back - across * side} ${y + across * back + along * side}` +
      `L${x + along * back + across * side} ${y + across * back - along * side}Z`;
  };
  const tick = ([x, y], [along, across]) =>
    `M${x - across * TICK} ${y + along * TICK}L${x + across * TICK} ${y - along * TICK}`;

  return class {
    // The group in the picture's overlay, and the legend over it.
    constructor(layer, legend) {
      this.layer = layer;
      this.legend = legend;
      this.place = null;
    }
    get distance() { return this.place?.distance ?? null; }
    // The middle (mm) and scale (px per mm) to look at a place from: all of it, no less than a span (mm) of the page.
    static view(place, [width, height], span) {
      const [x0, y0, x1, y1] = this.extent(place);
      const all = Math.min(width / Math.max((x1 - x0) * 1.8, span), height / Math.max((y1 - y0) * 1.8, span));
      if (place.distance) {
        const [here, there] = place.distance.ends, far = place.distance.reach || there;
        const needed = Math.min(Math.min(width, height) / span, READABLE / Math.hypot(far[0] - here[0], far[1] - here[1]));
        // Rather the distance to read than the whole of a large area.
        if (needed > all) return [(here[0] + far[0]) / 2, (here[1] + far[1]) / 2, needed];
      }
      return [(x0 + x1) / 2, (y0 + y1) / 2, all];
    }
    // Box (mm) of all there is to see of a place.
    static extent(place) {
      const boxes = [place.box || [...place.at, ...place.at]];
      const { distance, area } = place;
      if (distance) for (const end of [...distance.ends, distance.reach]) if (end) boxes.push([...end, ...end]);
      if (area) {
        const all = area.rings.flat(), xs = all.filter((_, at) => at % 2 === 0), ys = all.filter((_, at) => at % 2);
        const least = (values) => values.reduce((a, b) => Math.min(a, b)), most = (values) => values.reduce((a, b) => Math.max(a, b));
        boxes.push([least(xs), least(ys), most(xs), most(ys)]);
      }
      return [0, 1, 2, 3].map((side) => (side < 2 ? Math.min : Math.max)(...boxes.map((box) => box[side])));
    }
    show(place) {
      this.place = place && (place.distance || place.area) ? place : null;
      this.legend.hidden = !this.place;
      const [x0, y0, x1, y1] = place?.box || [0, 0, 0, 0];
      const boxed = x1 > x0 && y1 > y0 && !place.area;
      const meanings = { distance: this.distance && "measured", box: boxed && "part of it concerned", asked: this.distance?.reach && this.distance.asked, area: this.place?.area?.shows };
      for (const item of this.legend.children) {
        const meaning = meanings[item.dataset.for];
        item.hidden = !meaning;
        if (meaning) item.querySelector(".means").textContent = meaning;
      }
      if (!this.place) this.layer.replaceChildren();
    }
    // Draws for a view: its corner (mm), px per mm, size (px). `taken` are boxes (px) the value should keep off.
    // Gives back what it covers: boxes and the line (px), for whatever must keep off in turn.
    at(left, top, scale, size, taken) {
      this.layer.replaceChildren();
      if (!this.place) return { boxes: [], line: null };
      this.layer.setAttribute("transform", `translate(${left} ${top}) scale(${1 / scale})`);
      const here = ([x, y]) => [(x - left) * scale, (y - top) * scale];
      this.shade(here, size);
      return this.distance ? this.dimension(here, size, taken) : { boxes: [], line: null };
    }
    shade(here, [width, height]) {
      const area = this.place.area;
      if (!area) return;
      const [x, y] = here([0, 0]), scale = here([1, 0])[0] - x;
      const rings = area.rings.map((ring) => ring.map((value, at) => value * scale + (at % 2 ? y : x)));
      const outline = rings.map((ring) => `M${ring.map((value) => value.toFixed(1)).join(" ")}Z`).join("");
      draw(this.layer, "path", { d: outline, class: "area" });
      const lines = hatching(rings, [0, 0, width, height]);
      draw(this.layer, "path", { d: lines, class: "under hatch" });
      draw(this.layer, "path", { d: lines, class: "hatch" });
      draw(this.layer, "path", { d: outline, class: "under rim" });
      draw(this.layer, "path", { d: outline, class: "rim" });
    }
    dimension(here, size, taken) {
      const { ends, reach } = this.distance;
      const from = here(ends[0]), to = here(ends[1]), far = reach && here(reach);
      let toward = far || to, length = Math.hypot(toward[0] - from[0], toward[1] - from[1]);
      if (!length) { toward = [from[0] + 1, from[1]]; length = 1; }
      const way = [(toward[0] - from[0]) / length, (toward[1] - from[1]) / length];
      const inside = Math.hypot(to[0] - from[0], to[1] - from[1]) >= ROOM;
      const paths = { asked: "", stop: "", dimension: `M${from}L${to}${tick(from, way)}${tick(to, way)}`, heads: head(from, way, inside ? 1 : -1) + head(to, way, inside ? -1 : 1) };
      const tails = inside ? [0, 0] : [TAIL, TAIL];
      const line = [
        [from[0] - way[0] * tails[0], from[1] - way[1] * tails[0]], [to[0] + way[0] * tails[1], to[1] + way[1] * tails[1]],
      ];
      if (!inside) paths.dimension += `M${line[0]}L${from}M${to}L${line[1]}`;
      if (far) {
        paths.asked = `M${to}L${far}`;
        paths.stop = tick(far, way);
        if ((far[0] - line[1][0]) * way[0] + (far[1] - line[1][1]) * way[1] > 0) line[1] = far;
      }
      for (const name of NAMES) draw(this.layer, "path", { d: paths[name], class: "under" });
      for (const name of NAMES) draw(this.layer, "path", { d: paths[name], class: name });
      const box = this.value(from, to, line, way, size, taken);
      return { boxes: box ? [box] : [], line };
    }
    // The value on its plate: beside the line, else beyond its ends, always whole within the picture.
    value(from, to, line, [along, across], [width, height], taken) {
      const frame = [EDGE, EDGE, width - EDGE, height - EDGE];
      const seen = clip(from, to, [0, 0, width, height]);
      if (!seen) return null;
      const plate = draw(this.layer, "g", { class: "value" });
      const ground = draw(plate, "rect", {});
      const lines = [["found", this.distance.value], ["limit", this.distance.asked]].filter(([, words]) => words);
      const texts = lines.map(([name, words]) => {
        const text = draw(plate, "text", { class: name });
        text.textContent = words;
        return text;
      });
      const wide = Math.max(...texts.map((text) => text.getComputedTextLength())) + 12, high = 6 + 17 * texts.length;
      const part = (seen[0] + seen[1]) / 2;
      const middle = [from[0] + (to[0] - from[0]) * part, from[1] + (to[1] - from[1]) * part];
      const beside = (Math.abs(across) * wide + Math.abs(along) * high) / 2 + TICK + GAP;
      const beyond = (Math.abs(along) * wide + Math.abs(across) * high) / 2 + GAP;
      const spots = [];
      for (const more of [0, 40, 90]) {
        for (const side of [-1, 1]) spots.push([middle[0] - across * side * (beside + more), middle[1] + along * side * (beside + more)]);
        for (const [end, side] of [[line[1], 1], [line[0], -1]]) spots.push([end[0] + along * side * (beyond + more), end[1] + across * side * (beyond + more)]);
      }
      const kept = spots.map(([x, y]) => [
        Math.min(Math.max(x, frame[0] + wide / 2), frame[2] - wide / 2), Math.min(Math.max(y, frame[1] + high / 2), frame[3] - high / 2),
      ]);
      const off = (spot) => !clip(...line, about(...spot, wide + 2 * TICK, high + 2 * TICK));
      const free = (spot) => taken.every((box) => apart(box, about(...spot, wide + 4, high + 4)));
      const best = kept.find((spot) => off(spot) && free(spot)) || kept.find(off) || kept[0];
      const [x0, y0, x1, y1] = about(...best, wide, high);
      for (const [name, value] of Object.entries({ x: x0, y: y0, width: wide, height: high })) ground.setAttribute(name, value);
      texts.forEach((text, row) => {
        text.setAttribute("x", x0 + 6);
        text.setAttribute("y", y0 + 16 + 17 * row);
      });
      return [x0, y0, x1, y1];
    }
    // How far (px) to move a pin of a size from its place to stand beside it, clear of what is drawn there.
    static aside([x, y], [wide, high], { line, boxes }) {
      const corners = [[24, -39], [-24 - wide, -39], [24, 39 - high], [-24 - wide, 39 - high]];
      return corners.find(([right, below]) => {
        const box = [x + right - 4, y + below - 4, x + right + wide + 4, y + below + high + 4];
        return !(line && clip(...line, box)) && boxes.every((other) => apart(box, other));
      }) || corners[0];
    }
  };
})();
