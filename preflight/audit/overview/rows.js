// What a row of the list shows, and what it shows when it is opened.
const make = (tag, name, text) => {
  const element = document.createElement(tag);
  if (name) element.className = name;
  if (text !== undefined) element.textContent = text;
  return element;
};
const many = (number) => number.toLocaleString("en");
const counted = (number, word, words = `${word}s`) => `${many(number)} ${number === 1 ? word : words}`;

const COLUMNS = [
  ["path", "File", "file"], ["format", "Format", ""], ["error", "Errors", "figure"], ["warning", "Warnings", "figure"],
  ["note", "Notes", "figure"], ["unchecked", "Not checked", "figure"], ["waived", "Waived", "figure"], ["month", "Month", ""], ["report", "Report", ""],
];

// The words of a command line. In the shells of Unix single quotes keep everything as it is. On Windows double quotes serve
// both shells, save for names that PowerShell would read otherwise; these are quoted as it wants them.
const quotedForUnix = (word) => /^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
const quotedForWindows = (word) => /^[\w@+=:,.\\/-]+$/.test(word) ? word : /[$`%!"‘’‚‛“”„]/.test(word) ? `'${word.replace(/['‘’‚‛]/g, "$&$&")}'` : `"${word}"`;

// The command that makes the report of a file, and what to do before it can be given.
function commandFor(files, file) {
  const quoted = files.kind === "drive" ? quotedForWindows : quotedForUnix;
  const path = files.path(file), away = files.kind === "away";
  const { profile, chosen } = files;
  const at = files.kind === "drive" ? `${files.root.replace(/\\$/, "")}\\${path.replaceAll("/", "\\")}` : `${files.root.replace(/\/$/, "")}/${path}`;
  const words = ["preflight", "check", quoted(away ? files.names[file] : at)];
  if (profile) words.push("--profile", quoted(profile));
  if (chosen) words.push(chosen);
  words.push("--report", "report.html");
  const first = away ? `Take it out of ${printable(files.root)} first. ` : "";
  return { first, command: words.join(" "), shell: files.kind === "drive" && words.join("").includes("'") ? " (PowerShell)" : "" };
}

class Rows {
  constructor(files) {
    this.files = files;
  }
  header(sort, down) {
    const row = make("div", "row");
    row.setAttribute("role", "row");
    row.setAttribute("aria-rowindex", 1);
    row.append(this.cell("picture", make("span", "unseen", "Picture"), "columnheader"));
    for (const [key, words, kind] of COLUMNS) {
      const button = make("button", "", words);
      button.type = "button";
      button.dataset.sort = key;
      const cell = this.cell(`${kind} ${key}`, button, "columnheader");
      if (key === sort) cell.setAttribute("aria-sort", down ? "descending" : "ascending");
      row.append(cell);
    }
    return row;
  }
  cell(name, content, role = "gridcell") {
    const cell = make("div", `cell ${name}`);
    cell.setAttribute("role", role);
    cell.append(content);
    return cell;
  }
  row(file, chosenRule) {
    const { files } = this, row = make("div", "row");
    const torn = files.state[file] === 1;
    const text = make("div", "text");
    text.append(make("bdi", "name", printable(files.names[file])));
    text.append(make("bdi", "folder", printable(files.folders[files.folder[file]]) || "./"));
    const found = torn ? make("span", "found torn", printable(files.reasonWords(file)?.[0] || "Cannot be read.")) : make("span", "found", this.foundWords(file, chosenRule));
    if (torn) found.prepend(make("span", "unseen", "Unreadable: "));
    text.append(found);
    row.append(this.cell("picture", this.picture(file, true)), this.cell("file path", text));
    row.append(this.cell("format", files.format[file] < 0 ? "–" : files.formats[files.format[file]]));
    row.append(...this.figures(file, torn));
    row.append(this.cell("month", files.month[file] < 0 ? "–" : files.months[files.month[file]]));
    row.append(this.cell("report", this.link(file) || make("span", "quiet", "–")));
    return row;
  }
  figures(file, torn) {
    if (!torn) return ["error", "warning", "note", "unchecked", "waived"].map((kind) => this.figure(file, kind, this.files[kind]));
    const cell = this.cell("figure all", this.pin("torn", "unreadable", ""));
    cell.setAttribute("aria-colspan", 5);
    return [cell];
  }
  figure(file, kind, amounts) {
    const number = amounts[file];
    return this.cell(`figure ${kind}`, number ? this.pin(kind, many(number), kind === "unchecked" ? "not checked" : kind) : make("span", "nil", "0"));
  }
  pin(kind, words, told) {
    const pin = make("span", `pin ${kind}`, words);
    if (told) pin.append(make("span", "unseen", ` ${told}`));
    return pin;
  }
  picture(file, small) {
    const address = this.files.picture(file), frame = make("span", "frame");
    if (!address) return frame;
    const image = make("img");
    image.alt = small ? "" : `Artwork of ${printable(this.files.names[file])}`;
    image.decoding = "async";
    image.draggable = false;
    image.addEventListener("error", () => image.remove());
    image.src = address;
    frame.append(image);
    return frame;
  }
  link(file) {
    const address = this.files.reportOf.get(file);
    if (!address) return null;
    const link = make("a", "", "Report");
    link.href = address;
    link.tabIndex = -1;
    link.append(make("span", "unseen", ` of ${printable(this.files.names[file])}`));
    return link;
  }
  foundWords(file, chosenRule) {
    const { files } = this;
    if (files.state[file] === 2) return "No answer yet.";
    const found = files.foundIn(file).sort((a, b) => (b[0] === chosenRule) - (a[0] === chosenRule) || a[1] - b[1] || b[2] - a[2]);
    if (!found.length) return files.kinds[file] & 64 ? "In order" : "Nothing found";
    const told = found.slice(0, 3).map(([rule, , times]) => `${printable(files.rules[rule])} ${many(times)}`);
    if (found.length > 3) told.push(`${found.length - 3} more`);
    return told.join(" · ");
  }

  detail(file) {
    const { files } = this, detail = make("div", "detail"), cell = this.cell("opened", make("h3", "path", ""));
    detail.setAttribute("role", "row");
    cell.setAttribute("aria-colspan", COLUMNS.length + 1);
    const list = make("dl");
    const tell = (title, content) => {
      const told = make("dd");
      told.append(content);
      list.append(make("dt", "", title), told);
    };
    cell.firstChild.append(make("bdi", "", printable(files.path(file))));
    const reason = files.reasonWords(file);
    if (reason) tell("What is wrong", printable(reason[0]));
    if (reason?.[1]) tell("How to mend it", printable(reason[1]));
    const found = files.foundIn(file).sort((a, b) => a[1] - b[1] || b[2] - a[2]);
    if (found.length) tell("Found", this.foundList(found));
    else if (!files.state[file]) tell("Found", "Nothing.");
    const further = [[files.unchecked[file], "not checked"], [files.waived[file], "waived"]].filter(([number]) => number);
    if (further.length) tell("Besides", further.map(([number, words]) => `${many(number)} ${words}`).join(", "));
    if (files.change[file]) tell("Before and now", this.changeWords(file));
    tell("Its report", this.reportWords(file));
    cell.append(list);
    if (files.pictures[file]) detail.append(this.cell("large", this.picture(file, false)));
    detail.append(cell);
    return detail;
  }
  foundList(found) {
    const list = make("ul", "found");
    for (const [rule, level, times] of found) {
      const item = make("li");
      item.append(make("span", `patch ${LEVELS[level]}`), ` ${counted(times, LEVELS[level])} of `, make("code", "", printable(this.files.rules[rule])));
      list.append(item);
    }
    return list;
  }
  changeWords(file) {
    if (this.files.change[file] === 3) return "New.";
    const told = `${counted(this.files.before.get(file), "error")} then, ${counted(this.files.trouble[file], "error")} now`;
    return `${this.files.change[file] === 1 ? "Worse" : "Better"}: ${told}.`;
  }
  reportWords(file) {
    const link = this.link(file), told = make("div", "making");
    if (link) {
      link.tabIndex = 0;
      link.firstChild.textContent = "Open the report";
      told.append(link);
      return told;
    }
    const { first, command, shell } = commandFor(this.files, file);
    const code = make("code", "command", printable(command)), copy = make("button", "copy", "Copy");
    copy.type = "button";
    copy.dataset.copy = command;
    told.append(`${first}This command${shell} makes it:`, code, copy);
    return told;
  }
}
