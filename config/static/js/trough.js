/* The live trough: a clock that ticks, figures that stay fresh, answers put in place (outbox.js sends the presses).
   The page works without this; every form here posts by itself. */
(function () {
  "use strict";

  var POLL_MS = 2000;
  var root = null;
  var ahead = 0; /* the server's clock less this phone's, in ms */
  var bestTookMs = Infinity;
  var sending = false; /* a look that began before a press would show the page without it */
  var pressed = false;
  var sound = null;
  var lastCue = null;

  /* ---- time ---- */

  function serverNow() {
    return Date.now() + ahead;
  }

  function two(number) {
    return (number < 10 ? "0" : "") + number;
  }

  function tick() {
    root.querySelectorAll("[data-since]").forEach(function (element) {
      var seconds = Math.max(0, Math.floor(serverNow() / 1000 - Number(element.dataset.since)));
      element.textContent = Math.floor(seconds / 60) + ":" + two(seconds % 60);
    });
    root.querySelectorAll("[data-age]").forEach(function (element) {
      var seconds = Math.max(0, Math.floor(serverNow() / 1000 - Number(element.dataset.age)));
      element.textContent = seconds < 120 ? seconds + " s ago" : Math.floor(seconds / 60) + " min ago";
    });
  }

  /* The answer left the server about half a round trip ago; the quickest answer says it best. */
  function setClock(top, tookMs) {
    if (tookMs >= bestTookMs) {
      return;
    }
    bestTookMs = tookMs;
    ahead = Number(top.dataset.serverMs) + (tookMs < 1e6 ? tookMs / 2 : 0) - Date.now();
  }

  /* ---- the live parts ---- */

  function putInPlace(html, tookMs) {
    var fresh = new DOMParser().parseFromString(html, "text/html");
    fresh.querySelectorAll("[data-live]").forEach(function (part) {
      var old = document.getElementById(part.id);
      if (!old) {
        return;
      }
      var isOpen = old.querySelector("details[open]") !== null;
      var hadFocus = old.contains(document.activeElement);
      old.replaceWith(part);
      if (isOpen) {
        part.querySelector("details").open = true;
      }
      if (hadFocus) {
        var again = part.querySelector("button, summary");
        if (again) {
          again.focus({ preventScroll: true });
        }
      }
    });
    var top = document.getElementById("trough-top");
    setClock(top, tookMs);
    root.querySelectorAll("[data-value]").forEach(function (key) {
      key.dataset.value = key.textContent = top.dataset.last;
    });
    tick();
    listen();
  }

  function sayLink(up) {
    document.dispatchEvent(new CustomEvent("outbox:link", { detail: { up: up, fresh: up } }));
  }

  function poll() {
    if (document.hidden || pressed || sending) {
      return;
    }
    var began = Date.now();
    fetch(root.dataset.nowUrl, { headers: { "X-Fragment": "1" } })
      .then(function (answer) {
        if (answer.status === 204) {
          window.location.assign(root.dataset.pageUrl);
        } else if (answer.ok) {
          return answer.text().then(function (html) {
            sayLink(true);
            if (!pressed && !sending) {
              putInPlace(html, Date.now() - began);
            }
          });
        }
      })
      .catch(function () {
        /* No reception: the figures keep their age in sight, and the next poll tries again. */
        sayLink(false);
      });
  }

  /* ---- presses ---- */

  function onAnswer(event) {
    var answer = event.detail;
    if (!answer.here) {
      return;
    }
    if (answer.status === 204) {
      window.location.assign(root.dataset.pageUrl);
    } else {
      putInPlace(answer.html, answer.tookMs);
    }
  }

  function onForm(event) {
    event.detail.form.closest("details").open = true;
    showPads();
  }

  /* ---- the number pad ---- */

  function showPads() {
    root.querySelectorAll("[data-pad], [data-sound]").forEach(function (element) {
      element.hidden = false;
    });
  }

  function onPad(event) {
    var key = event.target.closest("[data-pad] button");
    if (!key) {
      return;
    }
    var box = key.closest("form").querySelector("[name=water_c]");
    var same = key.closest("[data-pad]").querySelector("[data-value]").dataset.value;
    if (key.dataset.key !== undefined) {
      box.value += key.dataset.key;
    } else if (key.dataset.rub !== undefined) {
      box.value = box.value.slice(0, -1);
    } else if (key.dataset.value !== undefined) {
      box.value = same;
    } else {
      box.value = String(Math.round((Number(box.value || same) + Number(key.dataset.step)) * 100) / 100);
    }
  }

  /* ---- sound ---- */

  function beep(pitch, startS) {
    var tone = sound.createOscillator();
    var volume = sound.createGain();
    tone.frequency.value = pitch;
    volume.gain.value = 0.4;
    tone.connect(volume).connect(sound.destination);
    tone.start(sound.currentTime + startS);
    tone.stop(sound.currentTime + startS + 0.18);
  }

  /* Once for each new prompt; three times at every look while the water is out of its band. */
  function listen() {
    var top = document.getElementById("trough-top");
    var cue = top.dataset.cue;
    if (sound && top.dataset.alarm) {
      [0, 0.25, 0.5].forEach(function (startS) {
        beep(top.dataset.alarm === "above" ? 1320 : 520, startS);
      });
    } else if (sound && cue !== lastCue && cue !== "hold") {
      beep(880, 0);
    }
    lastCue = cue;
  }

  function onSound(event) {
    var button = event.target.closest("[data-sound]");
    if (!button) {
      return;
    }
    if (sound) {
      sound.close();
      sound = null;
    } else {
      sound = new window.AudioContext();
      beep(880, 0);
    }
    button.textContent = sound ? "Sound on" : "Sound off";
    button.setAttribute("aria-pressed", sound ? "true" : "false");
  }

  /* ---- panels stay as this device left them ---- */

  function keepPanels() {
    root.querySelectorAll("details[data-keep]").forEach(function (panel) {
      var name = "trough-" + panel.dataset.keep;
      if (window.sessionStorage.getItem(name) === "open") {
        panel.open = true;
      }
      panel.addEventListener("toggle", function () {
        window.sessionStorage.setItem(name, panel.open ? "open" : "shut");
      });
    });
  }

  document.addEventListener("DOMContentLoaded", function () {
    root = document.querySelector("[data-trough]");
    if (!root) {
      return;
    }
    /* A page out of the browser's own store carries an old time: the first look at the server mends it. */
    setClock(document.getElementById("trough-top"), 1e6);
    lastCue = document.getElementById("trough-top").dataset.cue;
    document.querySelectorAll("[data-sound]").forEach(function (button) {
      button.hidden = !window.AudioContext;
    });
    showPads();
    keepPanels();
    tick();
    window.setInterval(tick, 1000);
    window.setInterval(poll, POLL_MS);
    document.addEventListener("outbox:answer", onAnswer);
    document.addEventListener("outbox:form", onForm);
    document.addEventListener("outbox:busy", function (event) {
      sending = event.detail.busy;
    });
    document.addEventListener("click", onPad);
    document.addEventListener("click", onSound);
    /* A button must not be replaced between finger down and finger up. */
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
    document.body.addEventListener("live", poll);
    document.addEventListener("visibilitychange", poll);
  });
})();
