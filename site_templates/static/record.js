// Opens a photo large on the page that it stands on. Without this script the link opens the file.
(function () {
  "use strict";
  if (!window.HTMLDialogElement) return;
  var dialog = document.createElement("dialog");
  dialog.className = "large";
  var close = document.createElement("button");
  close.type = "button";
  close.className = "large-close";
  close.textContent = "\u00d7";
  var image = document.createElement("img");
  dialog.append(close, image);
  close.addEventListener("click", function () { dialog.close(); });
  dialog.addEventListener("click", function (event) {
    if (event.target !== close) dialog.close();
  });
  dialog.addEventListener("close", function () { image.removeAttribute("src"); });
  document.addEventListener("click", function (event) {
    var link = event.target.closest && event.target.closest("a.enlarge");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
    var shown = link.querySelector("img");
    if (!shown) return;
    event.preventDefault();
    if (!dialog.isConnected) document.body.append(dialog);
    close.setAttribute("aria-label", document.documentElement.dataset.close || "\u00d7");
    image.alt = shown.alt;
    image.src = link.href;
    dialog.setAttribute("aria-label", shown.alt);
    dialog.showModal();
  });
})();
