/* Keeps an open page fresh: listens to the stream of changes, polls where there is none, tells its age.

   A page that holds parts/live.html gets the event "live" on its body whenever one of its topics changed; what
   is fetched then is written on the parts themselves (hx-trigger="live from:body") or in the page's own script.
   Without this script the page is what it was when it was loaded, and can be loaded again. */
(function () {
  "use strict";

  var SILENT_MS = 8000; /* the server says something every 3 s */
  var POLL_MS = 3000;
  var AGAIN_MS = 15000; /* how often a page that polls asks for a stream again */
  var LEAST_MS = 700; /* between two fetches of one page */
  var box = null;
  var source = null;
  var counts = {};
  var heardAt = 0; /* by this device's clock: when the server was last heard */
  var ahead = 0; /* the server's clock less this device's, in ms */
  var lastAsked = 0;
  var lastTold = 0;
  var telling = null;
  var pressed = false;

  function serverNow() {
    return Date.now() + ahead;
  }

  /* ---- what changed ---- */

  function hear(said) {
    heardAt = Date.now();
    /* The message took some ms; of several guesses the one furthest ahead took least. */
    ahead = Math.max(ahead, said.now_ms - heardAt);
    var wanted = box.dataset.topics.split(" ").some(function (topic) {
      return (said.counts[topic] || 0) !== (counts[topic] || 0);
    });
    counts = said.counts;
    showAge();
    if (wanted) {
      tell();
    }
  }

  /* At once, then at most every LEAST_MS; never between finger down and finger up. */
  function tell() {
    if (telling) {
      return;
    }
    var wait = Math.max(0, lastTold + LEAST_MS - Date.now());
    telling = window.setTimeout(function () {
      telling = null;
      if (pressed) {
        tell();
        return;
      }
      lastTold = Date.now();
      document.body.dispatchEvent(new CustomEvent("live"));
    }, wait);
  }

  /* ---- the stream, and polling ---- */

  function listen() {
    if (source || !window.EventSource) {
      return;
    }
    source = new EventSource(box.dataset.stream);
    source.onmessage = function (event) {
      hear(JSON.parse(event.data));
    };
    source.onerror = function () {
      /* After an answer such as 204 the browser gives up for good; after a lost link it tries again itself. */
      if (source && source.readyState === EventSource.CLOSED) {
        hush();
      }
    };
    lastAsked = Date.now();
  }

  function hush() {
    if (source) {
      source.close();
      source = null;
    }
  }

  function look() {
    fetch(box.dataset.look)
      .then(function (answer) {
        return answer.ok ? answer.json().then(hear) : null;
      })
      .catch(function () {
        /* No link: the age says so. */
      });
  }

  function watch() {
    if (document.hidden) {
      return;
    }
    var silent = Date.now() - heardAt > SILENT_MS;
    if (silent && source && Date.now() - lastAsked > SILENT_MS) {
      hush(); /* a link that is dead but not closed */
    }
    if (!source && Date.now() - lastAsked > AGAIN_MS) {
      listen();
    }
    if (!source || silent) {
      look();
    }
    showAge();
  }

  function onVisible() {
    if (document.hidden) {
      hush(); /* a phone in a pocket holds no stream */
    } else {
      listen();
      look();
    }
  }

  /* ---- age ---- */

  function clock(ms) {
    return new Date(ms).toLocaleTimeString(document.documentElement.lang, {
      hour: "2-digit",
      minute: "2-digit",
      hourCycle: "h23",
      timeZone: box.dataset.zone,
    });
  }

  function showAge() {
    var line = box.querySelector("[data-link-age]");
    var silent = Date.now() - heardAt > SILENT_MS;
    var words = "No link. As of " + clock(heardAt + ahead) + ".";
    if (line.hidden !== !silent || (silent && line.textContent !== words)) {
      line.hidden = !silent;
      line.textContent = silent ? words : "";
      document.body.classList.toggle("is-cut-off", silent);
    }
  }

  /* ---- clocks that run between two fetches ---- */

  function tick() {
    document.querySelectorAll("[data-running-since]").forEach(function (element) {
      var seconds = Math.max(0, Math.floor((serverNow() - Number(element.dataset.runningSince)) / 1000));
      var rest = seconds % 60;
      element.textContent = Math.floor(seconds / 60) + ":" + (rest < 10 ? "0" : "") + rest;
    });
  }

  document.addEventListener("DOMContentLoaded", function () {
    box = document.querySelector("[data-live-link]");
    if (!box) {
      return;
    }
    counts = JSON.parse(box.dataset.counts);
    heardAt = Date.now();
    ahead = Number(box.dataset.nowMs) - heardAt;
    listen();
    tick();
    window.setInterval(tick, 1000);
    window.setInterval(watch, POLL_MS);
    document.addEventListener("visibilitychange", onVisible);
    window.addEventListener("online", onVisible);
    window.addEventListener("pagehide", hush);
    window.addEventListener("pageshow", function (event) {
      if (event.persisted) {
        onVisible();
      }
    });
    document.addEventListener("pointerdown", function () {
      pressed = true;
    });
    ["pointerup", "pointercancel"].forEach(function (name) {
      document.addEventListener(name, function () {
        window.setTimeout(function () {
          pressed = false;
        }, 300);
      });
    });
  });
})();
