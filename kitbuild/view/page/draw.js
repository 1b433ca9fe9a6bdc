// Drawing on canvases: a piece from its stitches. Holes count from 1; hole h has its middle at (h - 0.5) * size.

export function fit(canvas, width, height) {
  const ratio = window.devicePixelRatio || 1;
  canvas.width = Math.max(1, Math.round(width * ratio));
  canvas.height = Math.max(1, Math.round(height * ratio));
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  pen.clearRect(0, 0, width, height);
  return pen;
}

export function inkOn(rgb) {
  const part = (at) => {
    const value = parseInt(rgb.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5) > 0.179 ? "#000" : "#fff";
}

function* each(piece, chosen) {
  const count = chosen ? chosen.length : piece.x1.length;
  for (let n = 0; n < count; n += 1) yield chosen ? chosen[n] : n;
}

// All stitches, or those chosen, as rounded bars, one path a colour.
export function stitches(pen, piece, palette, size, options = {}) {
  const { left = 0, top = 0, width = 0.8, chosen = null, shade = false, mirror = 0 } = options;
  const paths = palette.map(() => new Path2D());
  const lights = palette.map(() => new Path2D());
  for (const at of each(piece, chosen)) {
    const x = (hole) => ((mirror ? mirror + 1 - hole : hole) - 0.5) * size - left;
    const [x1, x2] = [x(piece.x1[at]), x(piece.x2[at])];
    const [y1, y2] = [(piece.y1[at] - 0.5) * size - top, (piece.y2[at] - 0.5) * size - top];
    const path = paths[piece.colour[at]];
    path.moveTo(x1, y1);
    path.lineTo(x2, y2);
    if (shade) {
      const off = size * width * 0.18;
      lights[piece.colour[at]].moveTo(x1 - off, y1 + off);
      lights[piece.colour[at]].lineTo(x2 - off, y2 - off);
    }
  }
  pen.lineCap = "butt";
  palette.forEach((colour, n) => {
    pen.strokeStyle = "rgba(0,0,0,.45)";
    pen.lineWidth = size * width;
    pen.stroke(paths[n]);
    pen.strokeStyle = colour.rgb;
    pen.lineWidth = size * width * 0.9;
    pen.stroke(paths[n]);
    if (shade) {
      pen.strokeStyle = "rgba(255,255,255,.22)";
      pen.lineWidth = size * width * 0.22;
      pen.stroke(lights[n]);
    }
  });
}

export function symbols(pen, piece, palette, size, options = {}) {
  const { left = 0, top = 0, chosen = null, room = null } = options;
  pen.font = `${Math.round(size * 0.72)}px "chart symbols", sans-serif`;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  for (const at of each(piece, chosen)) {
    const x = ((piece.x1[at] + piece.x2[at]) / 2 - 0.5) * size - left;
    const y = ((piece.y1[at] + piece.y2[at]) / 2 - 0.5) * size - top;
    if (room && (x < -size || y < -size || x > room[0] + size || y > room[1] + size)) continue;
    const colour = palette[piece.colour[at]];
    pen.fillStyle = inkOn(colour.rgb);
    pen.fillText(colour.symbol, x, y);
  }
}

export function grid(pen, piece, size, left, top, room) {
  const columns = [Math.max(0, Math.floor(left / size)), Math.min(piece.columns, Math.ceil((left + room[0]) / size))];
  const rows = [Math.max(0, Math.floor(top / size)), Math.min(piece.rows, Math.ceil((top + room[1]) / size))];
  for (const heavy of [false, true]) {
    pen.beginPath();
    for (let n = columns[0]; n <= columns[1]; n += 1) {
      if ((n % 10 === 0) !== heavy) continue;
      pen.moveTo(n * size - left, rows[0] * size - top);
      pen.lineTo(n * size - left, rows[1] * size - top);
    }
    for (let n = rows[0]; n <= rows[1]; n += 1) {
      if ((n % 10 === 0) !== heavy) continue;
      pen.moveTo(columns[0] * size - left, n * size - top);
      pen.lineTo(columns[1] * size - left, n * size - top);
    }
    pen.strokeStyle = heavy ? "rgba(0,0,0,.6)" : "rgba(0,0,0,.22)";
    pen.lineWidth = heavy ? 1.2 : 0.6;
    pen.stroke();
  }
}

// The ends of a stitch in the order of work: [up x, up y, down x, down y].
export function way(piece, order, n) {
  const at = order.stitch[n];
  const ends = [piece.x1[at], piece.y1[at], piece.x2[at], piece.y2[at]];
  return order.turned[n] ? [ends[2], ends[3], ends[0], ends[1]] : ends;
}
