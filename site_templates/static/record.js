// The page is shown once its face is there, so that nothing jumps when a line is set anew: run
// before the body is read. record.css shows it after a second in any case.
(function () {
  "use strict";
  var page = document.documentElement;
  page.classList.add("face-awaited");
  document.addEventListener("DOMContentLoaded", function () {
    page.offsetHeight; // lays the page out, which is what asks for the faces that it needs
    document.fonts.ready.then(function () { page.classList.remove("face-awaited"); });
  });
})();
// Keys for a photo that is opened large: Escape closes, arrows leaf. Without this the links do it.
(function () {
  "use strict";
  function opened() {
    var id = location.hash.slice(1);
    return /^photo-\d+$/.test(id) ? document.getElementById(id) : null;
  }
  function follow(name) {
    var link = opened() && opened().querySelector(".large-" + name);
    if (link) location.replace(link.href);
    return Boolean(link);
  }
  document.addEventListener("keydown", function (event) {
    var name = { Escape: "close", ArrowLeft: "back", ArrowRight: "next" }[event.key];
    if (name && opened() && follow(name)) event.preventDefault();
  });
  window.addEventListener("hashchange", function () {
    var dialog = opened();
    var link = dialog && dialog.querySelector(".large-close");
    if (link) { link.focus(); return; }
    var back = /^#at-\d+$/.test(location.hash) && document.querySelector(location.hash + " .enlarge");
    if (back) back.focus();
  });
})();
