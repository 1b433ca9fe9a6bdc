import { fit, grid, inkOn, stitches, symbols, way } from "/draw.js";

const $ = (id) => document.getElementById(id);
const PAPER = "#fff";
let waiting = false;
let running = false;
const shown = { code: "", kit: null, piece: null, version: "", order: null, orderOf: "", wanted: "", step: 1 };
const look = { size: 12, left: 0, top: 0, cursor: [1, 1] };

function element(name, text, attributes = {}) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

async function ask(path) {
  const answer = await fetch(path);
  if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
  return answer.json();
}

/** What is said aloud is written only when it is news. */
function tell(id, words) {
  if ($(id).textContent !== words) $(id).textContent = words;
}

const kitPath = (code) => `/kits/${encodeURIComponent(code)}`;

function options(select, rows, chosen) {
  const same = rows.length === select.options.length
    && rows.every(([value, text], n) => select.options[n].value === value && select.options[n].text === text);
  if (!same) select.replaceChildren(...rows.map(([value, text]) => element("option", text, { value })));
  select.value = chosen;
}

async function refresh() {
  const [range, early] = await Promise.all([
    ask("/range"),
    shown.code ? ask(kitPath(shown.code)).catch(() => null) : null,
  ]);
  const codes = range.kits.map((kit) => kit.code);
  const wanted = decodeURIComponent(location.search.slice(1));
  const code = codes.includes(shown.code) ? shown.code : codes.includes(wanted) ? wanted : codes[0] || "";
  options($("kit"), range.kits.map((kit) => [kit.code, `${kit.code}: ${kit.title}`]), code);
  if (!code) {
    problems(range.problems, true);
    tell("state", "No kit of this range can be read.");
    return;
  }
  const told = early?.code === code ? early : await ask(kitPath(code));
  if (shown.code && shown.code !== code && codes.includes(shown.code)) {
    waiting = true; // another kit was chosen meanwhile
    return;
  }
  shown.code = code;
  problems(told.problems, told.current);
  const faults = told.problems.filter((each) => each.severity === "error").length;
  const words = told.problems.length === 1 ? "1 problem or warning" : `${told.problems.length} problems or warnings`;
  tell("state", faults ? `${words}; the last good state is shown` : told.problems.length ? words : "Up to date");
  for (const part of document.querySelectorAll("main > section:not(#problems, #sisters)")) part.hidden = !told.kit;
  if (!told.kit) {
    Object.assign(shown, { kit: null, piece: null, order: null });
    $("title").textContent = code;
    $("sisters").hidden = $("sisters-way").hidden = true;
    options($("piece"), [], "");
    return;
  }
  if (told.version !== shown.version || shown.kit?.code !== code) {
    const other = shown.kit?.code !== told.kit.code;
    if (other) Object.assign(shown, { piece: null, step: 1 });
    Object.assign(shown, { kit: told.kit, version: told.version, order: null });
    take();
    if (other) wholePiece();
    await Promise.all([walkOf(), sisters(range.kits)]);
    $("page-list").replaceChildren();
    tell("pages-state", "");
  }
}

function problems(rows, current) {
  $("problems").hidden = !rows.length;
  $("stale").hidden = current || !rows.some((row) => row.severity === "error");
  $("problem-list").replaceChildren(...rows.map((row) => {
    const item = element("li");
    const where = row.line ? `${row.file}, line ${row.line}, column ${row.column}` : row.file;
    item.append(element("span", where, { class: "where" }), `: ${row.code} `);
    item.append(element("span", row.severity === "error" ? "Problem: " : "Warning: ", { class: row.severity }));
    item.append(`${row.message}. To put it right: ${row.cure}.`);
    return item;
  }));
}

function take() {
  const { kit } = shown;
  const before = shown.piece?.key;
  shown.piece = kit.pieces.find((piece) => piece.key === before) || kit.pieces[0];
  options($("piece"), kit.pieces.map((piece) => [piece.key, piece.title]), shown.piece.key);
  $("title").textContent = `${kit.title}, edition ${kit.edition}`;
  document.title = `${kit.code}: ${kit.title}`;
  draw();
  numbers();
  madeUp();
}

function madeUp() {
  const image = $("made-up");
  const { words, language } = shown.kit.made_up;
  image.lang = language;
  image.alt = words;
  image.src = `${kitPath(shown.code)}/made-up.svg?${shown.version}`;
  image.hidden = false;
}

function draw() {
  finished($("finished-picture"), shown.piece, shown.kit.palette, 520, 420);
  key();
  chart();
  line();
}

function finished(canvas, piece, palette, most_wide, most_high) {
  const wide = Math.min(most_wide, canvas.parentElement.clientWidth || most_wide);
  const size = Math.min(wide / piece.columns, most_high / piece.rows, 12);
  const pen = fit(canvas, piece.columns * size, piece.rows * size);
  stitches(pen, piece, palette, size, { width: 0.98, shade: true });
  canvas.setAttribute("aria-label", `The ${piece.title} as it looks when it is worked: ${piece.columns} columns by ${piece.rows} hole rows.`);
}

function key() {
  $("key").replaceChildren(...shown.kit.palette.map((colour) => {
    const item = element("li");
    const patch = element("canvas", undefined, { "aria-hidden": "true" });
    const pen = fit(patch, 26, 22);
    pen.fillStyle = colour.rgb;
    pen.fillRect(0, 0, 26, 22);
    pen.fillStyle = inkOn(colour.rgb);
    pen.font = '15px "chart symbols", sans-serif';
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.fillText(colour.symbol, 13, 11.5);
    item.append(patch, colour.name);
    return item;
  }));
}

function chart() {
  const { piece, kit } = shown;
  const canvas = $("chart-picture");
  const room = [canvas.clientWidth, canvas.clientHeight];
  const ratio = window.devicePixelRatio || 1;
  canvas.width = Math.round(room[0] * ratio);
  canvas.height = Math.round(room[1] * ratio);
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, ...room);
  const { size, left, top } = look;
  if (size >= 5) grid(pen, piece, size, left, top, room);
  stitches(pen, piece, kit.palette, size, { left, top });
  if (size >= 9) symbols(pen, piece, kit.palette, size, { left, top, room });
  tenths(pen, piece, size, left, top, room);
  pen.strokeStyle = "#000";
  pen.lineWidth = 2;
  pen.strokeRect((look.cursor[0] - 1) * size - left, (look.cursor[1] - 1) * size - top, size, size);
  canvas.setAttribute("aria-label", `Chart of the ${piece.title}, ${piece.columns} columns by ${piece.rows} hole rows`);
}

function tenths(pen, piece, size, left, top, room) {
  pen.font = "12px system-ui, sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  const number = (text, x, y) => {
    const wide = pen.measureText(text).width + 6;
    pen.fillStyle = "rgba(255,255,255,.92)";
    pen.fillRect(x - wide / 2, y - 8, wide, 16);
    pen.fillStyle = "#000";
    pen.fillText(text, x, y);
  };
  const every = size >= 4 ? 10 : 50;
  const [above, beside] = [Math.max(9, -top - 10), Math.max(14, -left - 16)];
  for (let n = every; n <= piece.columns; n += every) {
    const x = (n - 0.5) * size - left;
    if (x > 30 && x < room[0]) number(`${n}`, x, above);
  }
  for (let n = every; n <= piece.rows; n += every) {
    const y = (n - 0.5) * size - top;
    if (y > 24 && y < room[1]) number(`${n}`, beside, y);
  }
}

function wholePiece() {
  const canvas = $("chart-picture");
  const { piece } = shown;
  const high = ((canvas.clientWidth - 60) * piece.rows) / piece.columns + 60;
  canvas.style.height = `${Math.round(Math.min(high, 640, window.innerHeight * 0.7))}px`;
  look.size = Math.max(1.5, Math.min((canvas.clientWidth - 60) / piece.columns, (canvas.clientHeight - 48) / piece.rows, 40));
  Object.assign(look, { left: (piece.columns * look.size - canvas.clientWidth) / 2, top: (piece.rows * look.size - canvas.clientHeight) / 2 });
  chart();
}

function zoom(factor, x, y) {
  const canvas = $("chart-picture");
  const [at_x, at_y] = [x ?? canvas.clientWidth / 2, y ?? canvas.clientHeight / 2];
  const size = Math.max(1.5, Math.min(60, look.size * factor));
  look.left = ((look.left + at_x) / look.size) * size - at_x;
  look.top = ((look.top + at_y) / look.size) * size - at_y;
  look.size = size;
  chart();
}

function toHole(x, y) {
  const { piece, kit } = shown;
  const [column, row] = [Math.floor((x + look.left) / look.size) + 1, Math.floor((y + look.top) / look.size) + 1];
  if (column < 1 || row < 1 || column > piece.columns || row > piece.rows) return;
  look.cursor = [column, row];
  const here = [];
  for (let n = 0; n < piece.x1.length; n += 1) {
    if (piece.x1[n] <= column && column <= piece.x2[n] && piece.y1[n] <= row && row <= piece.y2[n]) {
      const over = piece.x2[n] - piece.x1[n] + piece.y2[n] - piece.y1[n];
      here.push(`${kit.palette[piece.colour[n]].name} over ${over}`);
    }
  }
  tell("hole", `Hole (${column}, ${row}): ${here.length ? here.join(" and ") : "no stitch"}`);
  chart();
}

function moveCursor(across, down) {
  const { piece } = shown;
  const column = Math.max(1, Math.min(piece.columns, look.cursor[0] + across));
  const row = Math.max(1, Math.min(piece.rows, look.cursor[1] + down));
  const canvas = $("chart-picture");
  const [x, y] = [(column - 0.5) * look.size, (row - 0.5) * look.size];
  look.left = Math.max(x - canvas.clientWidth + look.size, Math.min(look.left, x - look.size));
  look.top = Math.max(y - canvas.clientHeight + look.size, Math.min(look.top, y - look.size));
  toHole(x - look.left, y - look.top);
}

function line() {
  const { piece, kit } = shown;
  const canvas = $("line-picture");
  const wide = Math.max(200, canvas.parentElement.clientWidth - 4);
  const rows = piece.line.flatMap((n) => [piece.y1[n], piece.y2[n]]);
  const [first, last] = [Math.min(...rows), Math.max(...rows)];
  const size = Math.min(wide / piece.columns, 16, 420 / (last - first + 3));
  const pen = fit(canvas, piece.columns * size, (last - first + 3) * size);
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, piece.columns * size, (last - first + 3) * size);
  grid(pen, piece, size, 0, (first - 2) * size, [piece.columns * size, (last - first + 3) * size]);
  stitches(pen, piece, kit.palette, size, { top: (first - 2) * size, chosen: piece.line });
  canvas.setAttribute("aria-label", `The line of the ${piece.title} alone: ${piece.line.length} stitches in hole rows ${first} to ${last}.`);
}

async function walkOf() {
  const hand = document.querySelector("input[name=hand]:checked").value;
  const of = `${shown.version} ${shown.piece.key} ${hand}`;
  if (shown.orderOf !== of || !shown.order) {
    shown.wanted = of;
    const order = await ask(`${kitPath(shown.code)}/order/${encodeURIComponent(shown.piece.key)}/${hand}`);
    if (shown.wanted !== of) return;
    Object.assign(shown, { order, orderOf: of });
  }
  $("step").max = shown.order.stitch.length;
  shown.step = Math.min(shown.step, shown.order.stitch.length);
  $("step").value = shown.step;
  step();
}

// While the order is on its way there is nothing to draw: the step wished for is kept, and shown when it comes.
function step() {
  const { piece, kit, order } = shown;
  if (!order) return;
  const at = shown.step - 1;
  const size = Math.max(2, Math.min(26, ($("walk-front").parentElement.clientWidth - 4) / piece.columns, 460 / piece.rows));
  const done = order.stitch.slice(0, shown.step);
  const pens = ["walk-front", "walk-back"].map((id) => {
    const pen = fit($(id), piece.columns * size, piece.rows * size);
    pen.fillStyle = PAPER;
    pen.fillRect(0, 0, piece.columns * size, piece.rows * size);
    if (size >= 5) grid(pen, piece, size, 0, 0, [piece.columns * size, piece.rows * size]);
    return pen;
  });
  stitches(pens[0], piece, kit.palette, size, { chosen: done });
  runs(pens[1], piece, order, kit.palette, size, shown.step);
  const [ux, uy, dx, dy] = way(piece, order, at);
  mark(pens[0], (ux - 0.5) * size, (uy - 0.5) * size, size, true);
  mark(pens[0], (dx - 0.5) * size, (dy - 0.5) * size, size, false);
  mark(pens[1], (piece.columns + 0.5 - dx) * size, (dy - 0.5) * size, size, false);
  const colour = kit.palette[piece.colour[order.stitch[at]]].name;
  const fresh = order.previous[at] < 0 ? ", a new start" : "";
  const words = `Stitch ${shown.step} of ${order.stitch.length}: ${colour}, up at (${ux}, ${uy}), down at (${dx}, ${dy}); start ${order.start[at]}, needleful ${order.needleful[at]}${fresh}.`;
  tell("stitch-words", words);
  $("step").setAttribute("aria-valuetext", `${shown.step} of ${order.stitch.length}`);
  $("walk-front").setAttribute("aria-label", `The front after stitch ${shown.step}.`);
  $("walk-back").setAttribute("aria-label", `The back after stitch ${shown.step}: the runs between stitches.`);
}

function runs(pen, piece, order, palette, size, count) {
  const paths = palette.map(() => new Path2D());
  const turned = (x) => (piece.columns + 0.5 - x) * size;
  for (let n = 0; n < count; n += 1) {
    if (order.previous[n] < 0) continue;
    const from = way(piece, order, order.previous[n]);
    const to = way(piece, order, n);
    const path = paths[piece.colour[order.stitch[n]]];
    path.moveTo(turned(from[2]), (from[3] - 0.5) * size);
    path.lineTo(turned(to[0]), (to[1] - 0.5) * size);
  }
  pen.lineCap = "round";
  palette.forEach((colour, n) => {
    pen.strokeStyle = "rgba(0,0,0,.5)";
    pen.lineWidth = size * 0.34;
    pen.stroke(paths[n]);
    pen.strokeStyle = colour.rgb;
    pen.lineWidth = size * 0.24;
    pen.stroke(paths[n]);
  });
}

function mark(pen, x, y, size, up) {
  pen.beginPath();
  pen.arc(x, y, Math.max(3, size * 0.3), 0, 2 * Math.PI);
  pen.fillStyle = up ? "#fff" : "#000";
  pen.fill();
  pen.strokeStyle = up ? "#000" : "#fff";
  pen.lineWidth = 1.5;
  pen.stroke();
}

function rowOf(cells, first = "th") {
  const row = element("tr");
  cells.forEach((text, n) => {
    const heading = n === 0 && first === "th";
    const cell = element(heading ? "th" : "td", String(text), heading ? { scope: "row" } : {});
    if (typeof text === "number") cell.className = "count";
    row.append(cell);
  });
  return row;
}

function numbers() {
  const { kit } = shown;
  const of = kit.numbers;
  const facts = [["Cost", of.cost], ["Price", of.price], ["Margin", of.margin], ["Hours", `${of.hours}`], ["Stitches", `${of.stitches}`], ["Policy", kit.policy]];
  $("kit-numbers").replaceChildren(...facts.map((fact) => rowOf(fact)));
  const kinds = Object.keys(kit.pieces[0].sizes);
  const head = element("tr");
  head.append(...["Piece", "Copies", "Canvas", ...kinds, "Hours for one"].map((text) => element("th", text, { scope: "col" })));
  $("size-head").replaceChildren(head);
  $("size-rows").replaceChildren(...kit.pieces.map((piece) => rowOf([piece.title, piece.copies, piece.canvas, ...kinds.map((kind) => piece.sizes[kind]), piece.hours])));
  $("thread-rows").replaceChildren(...kit.thread.map((use) => rowOf([use.colour, use.thread, use.needlefuls, use.spare, use.put_ups, use.metres.map((each) => each.toFixed(2)).join(" – ")])));
}

async function sisters(kits) {
  const file = kits.find((kit) => kit.code === shown.code)?.file;
  const codes = kits.filter((kit) => kit.file === file).map((kit) => kit.code);
  $("sisters").hidden = $("sisters-way").hidden = codes.length < 2;
  if (codes.length < 2) return;
  const told = await Promise.all(codes.map((code) => ask(kitPath(code))));
  $("sister-list").replaceChildren();
  for (const { kit } of told) {
    if (!kit) continue;
    const piece = kit.pieces.find((each) => each.key === shown.piece.key) || kit.pieces[0];
    const frame = element("figure");
    const canvas = element("canvas", undefined, { role: "img" });
    frame.append(canvas, element("figcaption", `${kit.code}: ${kit.title}`));
    $("sister-list").append(frame);
    finished(canvas, piece, kit.palette, 360, 300);
    canvas.setAttribute("aria-label", `The ${piece.title} in the colours of ${kit.title}.`);
  }
}

async function pages() {
  const { code } = shown;
  tell("pages-state", "Making the pages …");
  try {
    const list = await ask(`${kitPath(code)}/documents`);
    $("page-list").replaceChildren(...list.map((each) => {
      const part = element("section");
      const path = `${kitPath(code)}/documents/${encodeURIComponent(each.name)}`;
      const heading = element("h3");
      heading.append(element("a", `${each.title} (PDF)`, { href: `${path}.pdf` }));
      const row = element("ul", undefined, { class: "pages" });
      for (let n = 1; n <= each.pages; n += 1) {
        const item = element("li");
        const src = `${path}/${n}.png?${shown.version}`;
        const large = element("a", undefined, { href: src });
        large.append(element("img", undefined, { src, loading: "lazy", width: 208, height: 294, alt: `Page ${n} of ${each.title}` }));
        item.append(large);
        row.append(item);
      }
      part.append(heading, row);
      return part;
    }));
    tell("pages-state", `${list.length} documents`);
  } catch (error) {
    tell("pages-state", "The pages cannot be made: see what is to be put right above.");
  }
}

function listen() {
  $("kit").addEventListener("change", () => {
    shown.code = $("kit").value;
    history.replaceState(null, "", `?${encodeURIComponent(shown.code)}`);
    Object.assign(shown, { version: "", order: null, step: 1 });
    follow();
  });
  $("piece").addEventListener("change", () => {
    shown.piece = shown.kit.pieces.find((piece) => piece.key === $("piece").value);
    Object.assign(shown, { order: null, step: 1 });
    draw();
    wholePiece();
    walkOf();
  });
  $("nearer").addEventListener("click", () => zoom(1.4));
  $("farther").addEventListener("click", () => zoom(1 / 1.4));
  $("whole").addEventListener("click", wholePiece);
  $("on-one").addEventListener("click", () => go(1));
  $("back-one").addEventListener("click", () => go(-1));
  $("step").addEventListener("input", () => { shown.step = Number($("step").value); step(); });
  $("show-pages").addEventListener("click", pages);
  for (const radio of document.querySelectorAll("input[name=hand]")) radio.addEventListener("change", walkOf);
  window.addEventListener("resize", () => { if (shown.kit) { draw(); step(); } });
  chartHands($("chart-picture"));
}

function go(by) {
  shown.step = Math.max(1, Math.min(Number($("step").max), shown.step + by));
  $("step").value = shown.step;
  step();
}

function chartHands(canvas) {
  let held = null;
  canvas.addEventListener("pointerdown", (event) => { held = [event.offsetX, event.offsetY]; canvas.setPointerCapture(event.pointerId); });
  canvas.addEventListener("pointerup", (event) => {
    if (held && Math.hypot(event.offsetX - held[0], event.offsetY - held[1]) < 4) toHole(event.offsetX, event.offsetY);
    held = null;
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    look.left -= event.movementX;
    look.top -= event.movementY;
    chart();
  });
  canvas.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== canvas) return;
    event.preventDefault();
    zoom(event.deltaY < 0 ? 1.15 : 1 / 1.15, event.offsetX, event.offsetY);
  }, { passive: false });
  const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  canvas.addEventListener("keydown", (event) => {
    if (keys[event.key]) moveCursor(...keys[event.key]);
    else if (event.key === "+" || event.key === "=") zoom(1.4);
    else if (event.key === "-") zoom(1 / 1.4);
    else if (event.key === "0") wholePiece();
    else return;
    event.preventDefault();
  });
}

async function follow() {
  waiting = true;
  if (running) return;
  running = true;
  while (waiting) {
    waiting = false;
    try {
      await refresh();
    } catch (error) {
      tell("state", "No answer: is the program still running?");
    }
  }
  running = false;
}

listen();
await document.fonts.load('15px "chart symbols"');
await follow();
const changes = new EventSource("/changes");
changes.addEventListener("changed", follow);
changes.addEventListener("error", () => { tell("state", "No answer: is the program still running?"); });
document.body.dataset.ready = "yes";
