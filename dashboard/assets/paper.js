// What paper needs: grids as whole tables with headings on every page, drawings as
// wide as the page, and the time of the plan in the footer.
"use strict";

(function () {
  const PAGE_PIXELS = 1010; // A4 across, less its margins
  const PAGE_TALL = 485; // between the head with its words and the foot
  const SMALLEST = 0.5; // of what is on screen: below that nothing could be read

  function tableOf(holder) {
    const grid = holder.querySelector(".ledger");
    const api = grid && window.dash_ag_grid ? window.dash_ag_grid.getApi(grid.id) : null;
    if (!api) {
      return null;
    }
    const columns = api.getAllDisplayedColumns();
    const table = document.createElement("table");
    table.className = "printed small-table";
    const caption = table.createCaption();
    caption.textContent = holder.getAttribute("aria-label");
    const head = table.createTHead().insertRow();
    for (const column of columns) {
      const cell = document.createElement("th");
      cell.textContent = column.getColDef().headerName;
      head.append(cell);
    }
    const body = table.createTBody();
    api.forEachNodeAfterFilterAndSort((node) => {
      const row = body.insertRow();
      for (const column of columns) {
        // All of what is cut short on screen.
        const value = node.data[column.getColDef().tooltipField || column.getColId()];
        const cell = row.insertCell();
        cell.textContent = value === null || value === undefined ? "" : String(value);
        const short = cell.textContent.length < 18 ? "short" : "";
        cell.className = typeof value === "number" ? "number" : short;
      }
    });
    return table;
  }

  function footer() {
    const yard = document.querySelector(".masthead .yard");
    const told = [...document.querySelectorAll(".title-block .cell")].map((cell) =>
      [...cell.querySelectorAll("dt, strong")].map((one) => one.textContent).join(" "));
    const text = [yard ? yard.textContent : "", ...told.slice(0, 2)].join(" \u00b7 ");
    return text.replace(/["\\\n]/g, " ");
  }

  function toPaper() {
    fromPaper();
    const style = document.createElement("style");
    style.id = "paper-footer";
    style.textContent = `@page { @bottom-left { content: "${footer()}"; } }`;
    document.head.append(style);
    for (const holder of document.querySelectorAll(".table")) {
      const table = tableOf(holder);
      if (table) {
        holder.append(table);
      }
    }
    for (const drawing of document.querySelectorAll(".drawing .js-plotly-plot")) {
      const box = drawing.getBoundingClientRect();
      const fits = Math.min(PAGE_PIXELS / box.width, PAGE_TALL / box.height);
      if (fits < 1) {
        const zoom = Math.max(SMALLEST, fits);
        const holder = drawing.closest(".drawing");
        holder.dataset.height = holder.style.height; // as on screen
        holder.style.height = `${zoom * box.height}px`;
        drawing.style.zoom = String(zoom);
      }
    }
  }

  function fromPaper() {
    document.querySelectorAll("table.printed").forEach((one) => one.remove());
    document.querySelectorAll("#paper-footer").forEach((one) => one.remove());
    for (const drawing of document.querySelectorAll(".drawing .js-plotly-plot")) {
      const holder = drawing.closest(".drawing");
      if (holder.dataset.height !== undefined) {
        holder.style.height = holder.dataset.height;
        delete holder.dataset.height;
      }
      drawing.style.zoom = "";
    }
  }

  window.addEventListener("beforeprint", toPaper);
  window.addEventListener("afterprint", fromPaper);
})();
