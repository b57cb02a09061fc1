/* A number pad for wet hands. <div data-keys="id of the box" hidden> with buttons: data-key="7" writes a figure,
   data-rub rubs the last one out. The box is one of text: a number box forgets "19." before the last figure comes. Without a script the box is typed into as any other. */
(function () {
  "use strict";

  function show() {
    document.querySelectorAll("[data-keys]").forEach(function (pad) {
      pad.hidden = false;
    });
  }

  function onPress(event) {
    var key = event.target.closest("[data-keys] button");
    if (!key) {
      return;
    }
    var box = document.getElementById(key.closest("[data-keys]").dataset.keys);
    if (key.dataset.rub !== undefined) {
      box.value = box.value.slice(0, -1);
    } else if (key.dataset.sign !== undefined) {
      box.value = box.value.charAt(0) === "-" ? box.value.slice(1) : "-" + box.value;
    } else {
      box.value += key.dataset.key;
    }
  }

  document.addEventListener("DOMContentLoaded", show);
  document.addEventListener("click", onPress);
})();
