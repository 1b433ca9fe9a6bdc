for (const head of document.querySelectorAll("th[data-sorts]")) {
  const button = document.createElement("button");
  button.type = "button";
  button.append(...head.childNodes);
  head.append(button);
  button.addEventListener("click", () => {
    const down = head.getAttribute("aria-sort") === "ascending";
    for (const other of head.parentElement.children) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    const at = head.cellIndex;
    const body = head.closest("table").tBodies[0];
    const key = (row) => row.cells[at].dataset.value ?? row.cells[at].textContent.trim();
    const rows = [...body.rows].sort((one, other) => {
      const [a, b] = [key(one), key(other)];
      const order = head.dataset.sorts === "number" ? Number(a) - Number(b) : a.localeCompare(b);
      return down ? -order : order;
    });
    body.append(...rows);
  });
}
