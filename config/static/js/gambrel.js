/* Small touches on pages that work without them: a print button, a way back, a clock. */
(function () {
  "use strict";

  /* <button type="button" data-print hidden>: shown only where a script can answer it. */
  function showPrintButtons(root) {
    root.querySelectorAll("[data-print]").forEach(function (button) {
      button.hidden = false;
    });
  }

  document.addEventListener("click", function (event) {
    if (event.target.closest("[data-print]")) {
      window.print();
    }
    /* <a href="#chart" data-back>: closes a panel and leaves the page where it was. */
    if (event.target.closest("[data-back]") && window.location.hash && window.history.length > 1) {
      event.preventDefault();
      window.history.back();
    }
  });

  /* <time data-clock data-server-now="1767225600.5" data-zone="America/New_York">: the server's time, in epoch
     seconds, corrects a phone whose clock is wrong. A page that comes out of the browser's own store carries an
     old server time, so there the phone's clock is the better of the two. */
  function cameFromStore() {
    var visit = performance.getEntriesByType("navigation")[0];
    return Boolean(visit) && (visit.type === "back_forward" || visit.transferSize === 0);
  }

  var ahead = 0;
  var seen = null;

  function readServerTime() {
    var element = document.querySelector("[data-clock][data-server-now]");
    var given = element ? element.dataset.serverNow : null;
    if (given === null || given === seen) {
      return;
    }
    var first = seen === null;
    seen = given;
    if (!(first && cameFromStore())) {
      ahead = Number(given) * 1000 - Date.now();
    }
  }

  function showTime() {
    var now = new Date(Date.now() + ahead);
    document.querySelectorAll("[data-clock]").forEach(function (element) {
      var options = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
      if (element.dataset.zone) {
        options.timeZone = element.dataset.zone;
      }
      var words = now.toLocaleTimeString(document.documentElement.lang, options);
      if (element.textContent !== words) {
        element.textContent = words;
      }
    });
  }

  function start(event) {
    showPrintButtons(event && event.target.querySelectorAll ? event.target : document);
    readServerTime();
    showTime();
  }

  /* <div data-scroll-to="840">: a wide drawing opens where its now-line is, a third from the left. */
  function scrollToNow() {
    document.querySelectorAll("[data-scroll-to]").forEach(function (element) {
      element.scrollLeft = Number(element.dataset.scrollTo) - element.clientWidth / 3;
    });
  }

  document.addEventListener("DOMContentLoaded", function () {
    start();
    scrollToNow();
    window.setInterval(showTime, 1000);
  });
  document.addEventListener("htmx:load", start);
})();
