/* Sounds an alarm on a device that was armed for it: pressed once, it calls while an alarm stands unseen.
   A browser lets a page sound only after a press, and forgets it when the page is loaded anew. */
(function () {
  "use strict";

  var EVERY_MS = 8000;
  var sound = null;
  var known = "";

  function beep(startS) {
    var tone = sound.createOscillator();
    var volume = sound.createGain();
    tone.frequency.value = 660;
    volume.gain.value = 0.4;
    tone.connect(volume).connect(sound.destination);
    tone.start(sound.currentTime + startS);
    tone.stop(sound.currentTime + startS + 0.22);
  }

  function keys() {
    return Array.from(document.querySelectorAll("[data-alarm]"), function (element) {
      return element.dataset.alarm;
    });
  }

  function call() {
    if (sound && keys().length > 0) {
      [0, 0.3, 0.6].forEach(beep);
    }
  }

  /* A new one calls at once, the rest at their turn. */
  function look() {
    var standing = keys().sort().join(" ");
    if (standing !== known) {
      var isNew = standing.length > 0;
      known = standing;
      if (isNew) {
        call();
      }
    }
  }

  document.addEventListener("click", function (event) {
    var button = event.target.closest("[data-arm]");
    if (!button) {
      return;
    }
    if (sound) {
      sound.close();
      sound = null;
    } else {
      sound = new window.AudioContext();
      beep(0);
    }
    button.textContent = sound ? "Alarm sound on" : "Alarm sound off";
    button.setAttribute("aria-pressed", sound ? "true" : "false");
  });

  document.addEventListener("DOMContentLoaded", function () {
    document.querySelectorAll("[data-arm]").forEach(function (button) {
      button.hidden = !window.AudioContext;
    });
    known = keys().sort().join(" ");
    window.setInterval(call, EVERY_MS);
    document.body.addEventListener("htmx:afterSettle", look);
  });
})();
