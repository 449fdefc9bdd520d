// The files of an audit as columns, what is asked of them and how they are ordered. Knows no page.
const KINDS = ["unreadable", "error", "warning", "note", "unchecked", "waived", "clean"];
const LEVELS = ["error", "warning", "note"];
const CHANGES = ["worse", "better", "new"];

// What a terminal, a line or the direction of reading could be steered by is shown by its number.
const printable = (text) => text.replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/gu, (one) => `\\u${one.codePointAt(0).toString(16).padStart(4, "0")}`);

// Letters with marks may be written in two ways; plain ones need no look at that.
const spelled = (text) => (/^[ -~]*$/.test(text) ? text : text.normalize("NFC")).toLowerCase();

class Files {
  // What a chosen filter lets through is tallied without that filter, so that its other choices keep their figures.
  static MISS = { kinds: 1, rule: 2, folder: 4, month: 8, change: 16 };

  constructor(data) {
    Object.assign(this, data);
    const count = this.count = data.names.length;
    this.trouble = Int32Array.from(data.error);
    this.state = new Uint8Array(count); // 1 unreadable, 2 no answer yet
    for (const file of data.unreadable) { this.state[file] = 1; this.trouble[file] += 1; }
    for (const file of data.waiting) this.state[file] = 2;
    this.change = new Uint8Array(count); // place in CHANGES, from 1
    this.before = new Map(data.was);
    for (const [file, was] of data.was) this.change[file] = this.trouble[file] > was ? 1 : 2;
    for (const file of data.fresh) this.change[file] = 3;
    this.kinds = new Uint8Array(count); // a bit for each of KINDS that the file has
    const amounts = [data.error, data.warning, data.note, data.unchecked, data.waived];
    for (let file = 0; file < count; file++) {
      let kinds = this.state[file] === 1 ? 1 : 0;
      for (let at = 0; at < amounts.length; at++) if (amounts[at][file]) kinds |= 2 << at;
      if (!this.state[file] && !(kinds & 30)) kinds |= 64;
      this.kinds[file] = kinds;
    }
    this.reasonOf = new Map(data.reason);
    this.reportOf = new Map(data.reports);
    this.orders = new Map();
  }

  path(file) {
    const folder = this.folders[this.folder[file]];
    return folder ? `${folder}/${this.names[file]}` : this.names[file];
  }
  reasonWords(file) {
    const which = this.reasonOf.get(file);
    return which === undefined ? null : this.reasons[which];
  }
  picture(file) {
    const name = this.pictures[file];
    return name ? `pictures/${name.slice(0, 2)}/${name}` : null;
  }
  // [rule, level, times] of a file.
  foundIn(file) {
    const found = [];
    for (let at = file ? this.ends[file - 1] : 0; at < this.ends[file]; at++) {
      const [rule, level] = this.pairs[this.found[at]];
      found.push([rule, level, this.times[at]]);
    }
    return found;
  }
  // How many findings of a rule each file has.
  ofRule(rule) {
    if (this.amounts?.rule === rule) return this.amounts.times;
    const times = new Int32Array(this.count), { ends, found, pairs } = this;
    for (let file = 0, at = 0; file < this.count; file++) {
      for (; at < ends[file]; at++) if (pairs[found[at]][0] === rule) times[file] += this.times[at];
    }
    this.amounts = { rule, times };
    return times;
  }
  // What is searched, in one spelling.
  get text() {
    if (this.texts) return this.texts;
    const folders = this.folders.map((folder) => folder && `${spelled(folder)}/`);
    const reasons = this.reasons.map((words) => ` ${spelled(words.join(" "))}`);
    this.texts = this.names.map((name, file) => {
      const which = this.reasonOf.get(file);
      return folders[this.folder[file]] + spelled(name) + (which === undefined ? "" : reasons[which]);
    });
    return this.texts;
  }

  // All files in an order. `key` names a column; what is alike stays in the order of paths.
  order(key, down, rule) {
    const name = `${key} ${down} ${key === "rule" ? rule : ""}`;
    if (!this.orders.has(name)) this.orders.set(name, this.sorted(key, down, rule));
    return this.orders.get(name);
  }
  sorted(key, down, rule) {
    const order = Uint32Array.from({ length: this.count }, (_, file) => file);
    if (key === "path") return down ? order.reverse() : order;
    const amounts = {
      error: this.trouble, warning: this.warning, note: this.note, unchecked: this.unchecked, waived: this.waived,
      format: this.format, month: this.month, rule: rule >= 0 ? this.ofRule(rule) : null,
      report: key === "report" ? Uint8Array.from(this.names, (_, file) => this.reportOf.has(file)) : null,
    }[key];
    const sign = down ? -1 : 1, { warning, note } = this;
    if (key === "error") {
      return order.sort((a, b) => sign * (amounts[a] - amounts[b] || warning[a] - warning[b] || note[a] - note[b]) || a - b);
    }
    return order.sort((a, b) => sign * (amounts[a] - amounts[b]) || a - b);
  }

  // The files that fit, in order, and what each filter would let through.
  select({ words, kinds, rule, folder, month, change, format, sort, down }) {
    const { MISS } = Files, { count, ends, found, pairs, times } = this;
    const asked = spelled(words).split(/\s+/).filter(Boolean);
    const text = asked.length ? this.text : null;
    const kindBits = kinds.reduce((bits, kind) => bits | 1 << KINDS.indexOf(kind), 0);
    const ofRule = rule >= 0 ? this.ofRule(rule) : null;
    const inFolder = folder ? this.folders.map((one) => one === folder || one.startsWith(`${folder}/`)) : null;
    const inMonth = month ? this.months.map((one) => one.startsWith(month)) : null;
    const changed = CHANGES.indexOf(change) + 1;
    const fits = new Uint8Array(count);
    const whole = { files: 0, unreadable: 0, error: 0, warning: 0, note: 0, unchecked: 0, waived: 0, clean: 0 };
    const rules = this.rules.map(() => ({ files: 0, findings: 0, last: -1 }));
    const folderFiles = new Int32Array(this.folders.length), folderAmounts = new Int32Array(this.folders.length);
    const monthFiles = new Int32Array(this.months.length + 1), monthTroubled = new Int32Array(this.months.length + 1);
    const changes = [0, 0, 0, 0];
    let number = 0;
    for (let file = 0; file < count; file++) {
      if (format >= 0 && this.format[file] !== format) continue;
      if (text && !asked.every((word) => text[file].includes(word))) continue;
      let miss = 0;
      if (kindBits && !(this.kinds[file] & kindBits)) miss |= MISS.kinds;
      if (ofRule && !ofRule[file]) miss |= MISS.rule;
      if (inFolder && !inFolder[this.folder[file]]) miss |= MISS.folder;
      if (inMonth && !inMonth[this.month[file]]) miss |= MISS.month;
      if (changed && this.change[file] !== changed) miss |= MISS.change;
      if (miss & miss - 1) continue;
      if (!miss) { fits[file] = 1; number++; }
      if (!miss || miss === MISS.kinds) {
        whole.files++;
        if (this.state[file] === 1) whole.unreadable++;
        whole.error += this.error[file];
        whole.warning += this.warning[file];
        whole.note += this.note[file];
        whole.unchecked += this.unchecked[file];
        whole.waived += this.waived[file];
        if (this.kinds[file] & 64) whole.clean++;
      }
      if (!miss || miss === MISS.rule) {
        for (let at = file ? ends[file - 1] : 0; at < ends[file]; at++) {
          const tally = rules[pairs[found[at]][0]];
          tally.findings += times[at];
          if (tally.last !== file) { tally.files++; tally.last = file; }
        }
      }
      if (!miss || miss === MISS.folder) {
        folderFiles[this.folder[file]]++;
        folderAmounts[this.folder[file]] += ofRule ? ofRule[file] : this.trouble[file];
      }
      if (!miss || miss === MISS.month) {
        const place = this.month[file] < 0 ? this.months.length : this.month[file];
        monthFiles[place]++;
        if (this.trouble[file]) monthTroubled[place]++;
      }
      if (!miss || miss === MISS.change) changes[this.change[file]]++;
    }
    const rows = new Uint32Array(number);
    let place = 0;
    for (const file of this.order(sort, down, rule)) if (fits[file]) rows[place++] = file;
    return { rows, whole, rules, folderFiles, folderAmounts, monthFiles, monthTroubled, changes };
  }
}
