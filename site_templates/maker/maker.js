// Adds to the pages what works without it too: charts that are one stop of the Tab key, tables that
// are sorted and filtered, details that are open on paper in browsers that need to be told.
(function () {
  "use strict";
  var said = document.currentScript.dataset;
  var order = new Intl.Collator(document.documentElement.lang, { numeric: true });

  function oneStop(chart) {
    var points = Array.from(chart.querySelectorAll("a.pt"));
    var at = 0;
    function stopAt(place) {
      points[at].setAttribute("tabindex", "-1");
      at = place;
      points[at].setAttribute("tabindex", "0");
    }
    points.forEach(function (point, place) {
      point.setAttribute("tabindex", place ? "-1" : "0");
      point.addEventListener("focus", function () { stopAt(place); });
    });
    chart.addEventListener("keydown", function (event) {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      var last = points.length - 1;
      var to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: last }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      points[Math.min(Math.max(to, 0), last)].focus();
    });
  }

  function valueOf(row, column, numeric) {
    var cell = row.cells[column];
    if (!cell || cell.colSpan > 1) return null;
    var time = cell.querySelector("time");
    if (time) return time.dateTime;
    var text = cell.textContent.trim();
    if (!text) return null;
    if (!numeric) return text;
    var number = parseFloat(text.replace("\u2212", "-").replace(",", "."));
    return Number.isNaN(number) ? null : number;
  }

  // What has no value stands last, whichever way the rest is sorted.
  function sortedBy(rows, column, numeric, way) {
    var keyed = rows.map(function (row, n) { return [valueOf(row, column, numeric), n, row]; });
    keyed.sort(function (a, b) {
      if (a[0] === null || b[0] === null) return (a[0] === null) - (b[0] === null) || a[1] - b[1];
      var found = typeof a[0] === "number" && typeof b[0] === "number"
        ? a[0] - b[0] : order.compare(a[0], b[0]);
      return way * found || a[1] - b[1];
    });
    return keyed.map(function (entry) { return entry[2]; });
  }

  function sortable(table) {
    var body = table.tBodies[0];
    var heads = Array.from(table.tHead.rows[0].cells);
    var asFirst = Array.from(body.rows);
    function show(column, way) {
      var rows = way ? sortedBy(asFirst, column, heads[column].classList.contains("n"), way) : asFirst;
      body.append.apply(body, rows);
      heads.forEach(function (head, n) {
        if (way && n === column) head.setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
        else head.removeAttribute("aria-sort");
      });
    }
    heads.forEach(function (head, column) {
      var button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      var mark = document.createElement("span");
      mark.className = "sort-mark";
      mark.setAttribute("aria-hidden", "true");
      button.append.apply(button, Array.from(head.childNodes));
      button.append(mark);
      head.append(button);
      button.addEventListener("click", function () {
        var now = head.getAttribute("aria-sort");
        show(column, now === "ascending" ? -1 : now === "descending" ? 0 : 1);
      });
    });
    return show;
  }

  function labelled(text, field) {
    var label = document.createElement("label");
    label.append(text + " ", field);
    return label;
  }

  function tools(place, table, show) {
    var rows = Array.from(table.tBodies[0].rows);
    var field = document.createElement("input");
    var count = document.createElement("span");
    var choice = document.createElement("select");
    field.type = "search";
    count.setAttribute("role", "status");
    field.addEventListener("input", function () {
      var wanted = field.value.trim().toLocaleLowerCase();
      var shown = rows.filter(function (row) {
        row.hidden = !row.textContent.toLocaleLowerCase().includes(wanted);
        return !row.hidden;
      });
      count.textContent = !wanted ? "" : said.shown
        .replace("{n}", shown.length).replace("{of}", rows.length);
    });
    choice.append(new Option(said.first, "-1"));
    Array.from(table.tHead.rows[0].cells).forEach(function (head, n) {
      choice.append(new Option(head.textContent, n));
    });
    choice.addEventListener("change", function () {
      var column = Number(choice.value);
      show(Math.max(column, 0), column < 0 ? 0 : 1);
    });
    var sorted = labelled(said.sort, choice);
    sorted.className = "only-stacked"; // the heads are not there to be pressed
    place.append(labelled(said.filter, field), sorted, count);
  }

  document.querySelectorAll(".chart").forEach(function (chart) {
    if (chart.querySelector("a.pt")) oneStop(chart);
  });
  document.querySelectorAll("table.sorts").forEach(function (table) {
    var show = sortable(table);
    var place = table.previousElementSibling;
    if (place && place.classList.contains("table-tools")) tools(place, table, show);
  });

  var closed = [];
  window.addEventListener("beforeprint", function () {
    closed = Array.from(document.querySelectorAll("details:not([open])"));
    closed.forEach(function (details) { details.open = true; });
  });
  window.addEventListener("afterprint", function () {
    closed.forEach(function (details) { details.open = false; });
  });
})();
