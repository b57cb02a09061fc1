/* Whether the laptop can be reached, said in sight.

   <body data-asof="1767225600">: when the server made this page. Pages that refresh themselves say so with
   outbox:link ({up, fresh}); the others ask the server every now and then. */
(function () {
  "use strict";

  var ASK_MS = 15000;
  var asOf = 0;
  var isDown = false;

  function words() {
    var at = new Date(asOf * 1000);
    var options = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
    if (at.toDateString() !== new Date().toDateString()) {
      options.weekday = "long";
    }
    return "No link to the laptop. This page is as of " + at.toLocaleTimeString(document.documentElement.lang, options) + ".";
  }

  function show() {
    var line = document.querySelector("[data-link]");
    line.hidden = !isDown;
    line.textContent = isDown ? words() : "";
  }

  function onLink(event) {
    var wasDown = isDown;
    isDown = !event.detail.up;
    if (event.detail.fresh) {
      asOf = Date.now() / 1000;
    }
    show();
    if (wasDown && !isDown) {
      document.dispatchEvent(new Event("visibilitychange")); /* what waits is sent, what is old is asked for */
    }
  }

  function ask() {
    if (document.hidden) {
      return;
    }
    fetch("/health/", { cache: "no-store" })
      .then(function (answer) {
        return answer.ok;
      })
      .catch(function () {
        return false;
      })
      .then(function (up) {
        document.dispatchEvent(new CustomEvent("outbox:link", { detail: { up: up } }));
      });
  }

  document.addEventListener("DOMContentLoaded", function () {
    asOf = Number(document.body.dataset.asof);
    document.addEventListener("outbox:link", onLink);
    window.addEventListener("offline", function () {
      document.dispatchEvent(new CustomEvent("outbox:link", { detail: { up: false } }));
    });
    window.addEventListener("online", ask);
    if (document.querySelector("[data-ask-link]")) {
      ask();
      window.setInterval(ask, ASK_MS);
    }
  });
})();
