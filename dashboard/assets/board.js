// The browser's part of the board: choices go into the address, chosen operations
// are marked in the drawing, focus stays where it was, paper gets its layout.
"use strict";

(function () {
  const dash = () => window.dash_clientside;

  // Change some choices of the address; an empty value removes one.
  function choose(changes) {
    const now = new URLSearchParams(window.location.search);
    for (const [name, value] of Object.entries(changes)) {
      if (value) {
        now.set(name, value);
      } else {
        now.delete(name);
      }
    }
    const search = now.toString();
    const wanted = search ? "?" + search : "";
    if (wanted !== window.location.search) {
      dash().set_props("url", { search: wanted });
    }
  }

  document.addEventListener("change", (event) => {
    const field = event.target;
    if (field instanceof HTMLSelectElement && field.dataset.choice) {
      const name = field.dataset.choice;
      choose(name === "boat" ? { boat: field.value, op: "" } : { [name]: field.value });
    }
  });

  // Links drawn before an operation was chosen do not know it: it is taken along.
  document.addEventListener("click", (event) => {
    const used = event.target.closest(".controls a[href^='/plan']");
    const chosen = new URLSearchParams(window.location.search).get("op");
    if (used && chosen && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
      const target = new URL(used.href);
      target.searchParams.set("op", chosen);
      event.preventDefault();
      event.stopPropagation();
      dash().set_props("url", { search: target.search });
    }
  }, true);

  // A row of a table as it is sorted and filtered now; it knows its operation.
  function pickRow(table, index) {
    const row = window.dash_ag_grid.getApi(table).getDisplayedRowAtIndex(index);
    if (row && row.data.id) {
      choose({ op: row.data.id, boat: "" });
    }
  }

  document.addEventListener("keydown", (event) => {
    const cell = event.target instanceof Element && event.target.closest(".ag-cell");
    if (event.key === "Enter" && cell) {
      const index = Number(cell.closest(".ag-row").getAttribute("row-index"));
      pickRow(cell.closest(".ledger").id, index);
    }
    const chosen = new URLSearchParams(window.location.search).get("op");
    if (event.key === "Escape" && chosen) {
      choose({ op: "", boat: "" });
    }
  });

  // Drawings on the page, and the bars of a drawing that belong to an operation.
  function drawings() {
    return [...document.querySelectorAll(".drawing .js-plotly-plot")];
  }

  function barsOf(drawing, wanted, op) {
    const found = { base: [], x: [], y: [], fill: [] };
    for (const trace of drawing.data || []) {
      const told = trace.type === "bar" ? trace.customdata || [] : [];
      told.forEach((one, k) => {
        if (Array.isArray(one) && wanted.has(one[0]) && one.length === 2) {
          found.base.push(trace.base[k]);
          found.x.push(valueOf(trace.x, k));
          found.y.push(valueOf(trace.y, k));
          found.fill.push(one[0] === op ? "#f2c230" : "#f8e9b0");
        }
      });
    }
    return found;
  }

  // Numbers arrive as typed arrays, or wrapped with their kind before first use.
  function valueOf(list, k) {
    return list._inputArray ? list._inputArray[k] : list[k];
  }

  function markIn(drawing, picked) {
    if (!drawing.data || !drawing.data[0] || drawing.data[0].name !== "picked") {
      return;
    }
    const wanted = new Set(picked ? [picked.op, ...picked.near] : []);
    const { fill, ...bars } = barsOf(drawing, wanted, picked ? picked.op : "");
    if (bars.base.length || drawing.data[0].base.length) {
      // A restyle of x would let the axis guess its type anew, from numbers.
      Object.assign(drawing.data[0], bars);
      drawing.data[0].marker = { color: fill, line: { color: "#a3241b", width: 1 } };
      window.Plotly.redraw(drawing);
    }
  }

  // The drawing is there a moment after its data: look again for three seconds.
  let marking = 0;
  function markAll(picked, tries) {
    const turn = ++marking;
    const again = (left) => {
      if (turn !== marking) {
        return;
      }
      const ready = drawings();
      const waiting = document.querySelectorAll(".drawing").length > ready.length;
      if (window.Plotly && ready.length && !waiting) {
        ready.forEach((one) => markIn(one, picked));
      } else if (left > 0) {
        window.setTimeout(() => again(left - 1), 100);
      }
    };
    again(tries);
  }

  // Tabs of the browser, and files that a page is printed into, go by its title.
  function name() {
    const parts = ["#sheet h1", ".masthead .yard"]
      .map((one) => document.querySelector(one))
      .filter((one) => one !== null);
    document.title = [...parts.map((one) => one.textContent), "Hullpace"].join(" \u00b7 ");
  }

  window.dash_clientside = Object.assign({}, window.dash_clientside, {
    hullpace: {
      pick_bar(clicks) {
        // Drawings that came in the same moment are among what changed.
        const used = dash().callback_context.triggered.find(
          (one) => one.value && one.value.points && one.value.points.length,
        );
        const told = used ? used.value.points[0].customdata : null;
        if (Array.isArray(told) && told.length === 2) {
          choose({ op: told[0], boat: "" });
        }
        return dash().no_update;
      },
      pick_row(cell) {
        const used = dash().callback_context.triggered[0];
        if (cell && used) {
          pickRow(used.prop_id.split(".")[0], cell.rowIndex);
        }
        return dash().no_update;
      },
      find(text) {
        choose({ find: (text || "").trim() });
        return dash().no_update;
      },
      find_operation(text) {
        if (text && text.trim()) {
          choose({ op: text.trim(), boat: "" });
        }
        return dash().no_update;
      },
      // Told once the first drawing can be seen: what is below is drawn after it.
      seen(drawn) {
        return new Promise((told) => {
          const look = (left) => {
            const first = document.querySelector(".drawing");
            if (!first || first.querySelector(".subplot") || left === 0) {
              window.requestAnimationFrame(() => window.setTimeout(() => {
                name();
                told(drawn);
              }, 30));
            } else {
              window.setTimeout(() => look(left - 1), 40);
            }
          };
          window.setTimeout(() => look(200), 40);
        });
      },
      offer(offered) {
        const list = document.getElementById("operation-codes");
        if (list && offered) {
          list.replaceChildren(...offered.all.map(([id, told]) => {
            const one = document.createElement("option");
            one.value = id;
            one.textContent = told;
            return one;
          }));
        }
        return dash().no_update;
      },
      mark(picked) {
        markAll(picked, 30);
        return dash().no_update;
      },
    },
  });

  // Redrawing replaces the links that were used: focus goes back to the same one.
  let last = "";
  document.addEventListener("focusin", (event) => {
    last = event.target.id || "";
  });
  document.addEventListener("DOMContentLoaded", () => {
    new MutationObserver(() => {
      const lost = !document.activeElement || document.activeElement === document.body;
      const again = last && lost ? document.getElementById(last) : null;
      if (again) {
        again.focus({ preventScroll: true });
      }
    }).observe(document.body, { childList: true, subtree: true });
  });
  document.addEventListener("pointerdown", (event) => {
    if (!event.target.closest("a, select, input, button")) {
      last = "";
    }
  });
})();
