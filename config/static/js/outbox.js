/* Every <form data-act> is kept on this phone first and sent from there: in order, until it arrives.

   The page works without this; each form posts by itself then. What a form may carry:
     data-words="Reading"   what the press is called while it waits (else the words on its button)
     data-clears            its typed fields are emptied once it is kept
   The server answers such a post with 2xx (written), 409 (refused, with the reason) or 422 (the form with
   what is wrong); a redirect means "sign in". Each press has an id made here, so that a second arrival
   changes nothing. Events on document: outbox:answer, outbox:form, outbox:busy, outbox:link. */
(function () {
  "use strict";

  var PATIENCE_MS = 12000; /* shorter than the lease of the store, so that no second tab begins meanwhile */
  var FIRST_WAIT_MS = 500;
  var LONGEST_WAIT_MS = 5000;
  var STUMBLES = 4; /* a press that the server fails on so often would hold up all behind it for ever */
  var FRESH_MS = 20000;

  var store = null;
  var mine = {}; /* the ids pressed on this page */
  var sending = false;
  var again = null;
  var waitMs = FIRST_WAIT_MS;
  var needsSignIn = false;
  var others = window.BroadcastChannel ? new BroadcastChannel("gambrel-outbox") : null;

  function say(name, detail) {
    document.dispatchEvent(new CustomEvent("outbox:" + name, { detail: detail }));
  }

  function who() {
    return document.body.dataset.who || "";
  }

  /* ---- keeping a press ---- */

  function isTyped(field) {
    return field.name && field.offsetParent !== null && field.matches("input:not([type=radio]):not([type=checkbox]), textarea, select");
  }

  function labelOf(field) {
    return field.labels && field.labels[0] ? field.labels[0].textContent.trim() : field.name;
  }

  function wordsOf(form, submitter) {
    var chosen = Array.from(form.querySelectorAll("input[type=radio]:checked"), labelOf);
    var typed = Array.from(form.elements).filter(isTyped).map(function (field) {
      return field.selectedOptions ? field.selectedOptions[0].textContent.trim() : field.value.trim();
    });
    var button = submitter && (submitter.name || !form.dataset.words) ? [submitter.textContent.trim()] : [];
    return [form.dataset.words || ""].concat(chosen, typed, button).filter(Boolean).join(" ");
  }

  function take(form, submitter) {
    var fields = new URLSearchParams(new FormData(form));
    if (submitter && submitter.name) {
      fields.set(submitter.name, submitter.value);
    }
    var id = store.newId(); /* never the page's own: a page out of a cache would bring a used one */
    fields.set("client_id", id);
    fields.delete("csrfmiddlewaretoken");
    var path = new URL(form.action).pathname;
    return {
      id: id,
      path: path,
      fields: Array.from(fields.entries()),
      words: wordsOf(form, submitter),
      typed: Array.from(form.elements).filter(isTyped).filter(function (field) {
        return !field.selectedOptions;
      }).map(function (field) {
        return { name: field.name, label: labelOf(field) };
      }),
      form: form.id,
      pressed: Date.now(),
      /* A private link says who it is; what the staff press is sent under the name that pressed it. */
      who: path.indexOf("/card/") === 0 ? "" : who(),
      whoName: document.body.dataset.whoName || "",
      state: "waiting",
      stumbles: 0,
    };
  }

  function onSubmit(event) {
    var form = event.target.closest("form[data-act]");
    if (!form || !store) {
      return;
    }
    event.preventDefault();
    var item = take(form, event.submitter);
    mine[item.id] = true;
    var question = form.querySelector(".trough-question");
    if (question) {
      question.remove();
    }
    store.add(item).then(function () {
      if (form.hasAttribute("data-clears")) {
        Array.from(form.elements).filter(isTyped).forEach(function (field) {
          field.value = "";
        });
      }
      changed();
      send();
    }).catch(function () {
      showLine("This phone could not keep that press. Write it on paper, then free some space on the phone.");
    });
  }

  /* ---- sending ---- */

  function cookie(name) {
    var found = document.cookie.split("; ").find(function (one) {
      return one.indexOf(name + "=") === 0;
    });
    return found ? found.slice(name.length + 1) : "";
  }

  function post(item) {
    var body = new URLSearchParams(item.fields);
    /* How long it has waited, by this phone's clock alone: whether that clock is right does not matter. */
    body.set("waited_ms", String(Math.max(0, Date.now() - item.pressed)));
    var patience = new AbortController();
    var bell = window.setTimeout(function () {
      patience.abort();
    }, PATIENCE_MS);
    return fetch(item.path, {
      method: "POST",
      body: body,
      redirect: "manual",
      signal: patience.signal,
      headers: { "X-Fragment": "1", "X-CSRFToken": cookie("csrftoken") },
    }).then(function (answer) {
      return answer.text().then(function (html) {
        window.clearTimeout(bell);
        return { status: answer.type === "opaqueredirect" ? 302 : answer.status, html: html };
      });
    });
  }

  function parsed(html) {
    return new DOMParser().parseFromString(html, "text/html");
  }

  function reasonIn(page, status) {
    var box = page.querySelector("[role=alert]") || page.querySelector(".lede");
    if (!box) {
      return "The laptop did not take it (" + status + ").";
    }
    var parts = box.querySelectorAll("li").length ? box.querySelectorAll("li") : [box.querySelector("p") || box];
    return Array.from(parts, function (part) {
      return part.textContent.trim().replace(/\s+/g, " ");
    }).join(" ");
  }

  function refuse(item, answer) {
    var page = parsed(answer.html);
    var form = item.form && page.getElementById(item.form);
    var here = item.form && document.getElementById(item.form);
    if (answer.status === 422 && form && here && mine[item.id] && Date.now() - item.pressed < FRESH_MS) {
      /* Just pressed, and the page is still here: the form itself asks. */
      here.replaceWith(form);
      say("form", { form: form });
      return store.remove(item);
    }
    item.state = "refused";
    item.why = reasonIn(page, answer.status);
    item.canConfirm = page.querySelector("button[name=confirmed]") !== null;
    return store.put(item);
  }

  function stumbled(item, answer) {
    item.stumbles += answer.status === 500 ? 1 : 0;
    if (item.stumbles >= STUMBLES) {
      return refuse(item, { status: 500, html: "<p role='alert'>The laptop stumbled over it again and again (500).</p>" });
    }
    return store.put(item).then(function () {
      throw new Error("again");
    });
  }

  function settle(item, answer, tookMs) {
    needsSignIn = answer.status === 302;
    if (answer.status >= 200 && answer.status < 300) {
      return store.remove(item).then(function () {
        say("answer", { item: item, here: Boolean(mine[item.id]), status: answer.status, html: answer.html, tookMs: tookMs });
        return 1;
      });
    }
    if (needsSignIn || answer.status === 429 || answer.status >= 500) {
      return stumbled(item, answer);
    }
    return refuse(item, answer);
  }

  function sendAll(count) {
    return store.next(who()).then(function (item) {
      if (!item || item === "busy") {
        return { count: count, busy: item === "busy" };
      }
      var began = Date.now();
      return post(item).then(function (answer) {
        say("link", { up: true });
        return settle(item, answer, Date.now() - began).then(function (written) {
          waitMs = FIRST_WAIT_MS;
          changed();
          return sendAll(count + (written || 0));
        });
      });
    });
  }

  function later() {
    window.clearTimeout(again);
    again = window.setTimeout(send, waitMs);
    waitMs = Math.min(waitMs * 2, LONGEST_WAIT_MS);
  }

  function send() {
    if (sending || !store) {
      return;
    }
    sending = true;
    say("busy", { busy: true });
    sendAll(0)
      .then(function (done) {
        if (done.busy) {
          later();
        } else if (done.count) {
          loadAnew();
        }
      })
      .catch(function (error) {
        /* Kept with the same id: if the server had it after all, the second changes nothing. */
        if (error.message !== "again") {
          say("link", { up: false });
        }
        later();
      })
      .then(function () {
        sending = false;
        say("busy", { busy: false });
        return store.release();
      })
      .catch(function () {})
      .then(show);
  }

  /* A page whose words depend on what was sent says so: <main data-outbox-reload="/its/address/">. */
  function loadAnew() {
    var page = document.querySelector("[data-outbox-reload]");
    var writing = Array.from(document.querySelectorAll("main textarea")).some(function (field) {
      return field.value.trim() !== "";
    });
    if (page && !writing) {
      window.location.assign(page.dataset.outboxReload);
    }
  }

  /* ---- showing what waits ---- */

  function showLine(words) {
    var box = document.querySelector("[data-outbox]");
    box.hidden = !words;
    box.querySelector("[data-outbox-line]").textContent = words;
  }

  function clock(ms) {
    return new Date(ms).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  }

  function lineOf(waiting) {
    if (waiting.length === 0) {
      return "";
    }
    var others = waiting.filter(function (item) {
      return item.who !== "" && item.who !== who();
    });
    var why = store.lasts ? "Kept on this phone, sent by itself." : "Keep this page open: this browser keeps nothing.";
    if (others.length) {
      why = "Sent once " + (others[0].whoName || "the one who pressed") + " signs in here.";
    } else if (needsSignIn) {
      why = "Sign in again, then they are sent.";
    }
    return waiting.length + " waiting to be sent. " + why;
  }

  function make(tag, className, words) {
    var element = document.createElement(tag);
    element.className = className;
    element.textContent = words;
    return element;
  }

  function button(words, act) {
    var made = make("button", "button quiet", words);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  function change(item) {
    store.put(item).then(changed).then(send);
  }

  function setField(item, name, value) {
    item.fields = item.fields.filter(function (pair) {
      return pair[0] !== name;
    });
    item.fields.push([name, value]);
  }

  function sendOnceMore(item) {
    item.state = "waiting";
    item.stumbles = 0;
    change(item);
  }

  function correct(item, part) {
    var boxes = item.typed.map(function (field) {
      var label = make("label", "outbox-field", field.label);
      var input = document.createElement("input");
      input.value = (item.fields.find(function (pair) {
        return pair[0] === field.name;
      }) || ["", ""])[1];
      label.append(input);
      part.append(label);
      return { name: field.name, input: input };
    });
    part.append(button("Send this", function () {
      boxes.forEach(function (box) {
        setField(item, box.name, box.input.value);
      });
      setField(item, "client_id", store.newId()); /* other words are another press; the first was not written */
      item.words = item.words + ", corrected";
      sendOnceMore(item);
    }));
    boxes[0].input.focus();
  }

  function refusedPart(item) {
    var part = make("li", "outbox-item is-refused", "");
    part.append(make("strong", "", clock(item.pressed) + " " + item.words + ": not written. "), make("span", "", item.why));
    var acts = make("div", "buttons", "");
    if (item.canConfirm) {
      acts.append(button("Yes, that is right", function () {
        setField(item, "confirmed", "on");
        sendOnceMore(item);
      }));
    }
    if (item.typed.length) {
      acts.append(button("Correct it", function (event) {
        event.target.remove();
        correct(item, part);
      }));
    }
    acts.append(
      button("Send it again", function () {
        sendOnceMore(item);
      }),
      button("Drop it", function (event) {
        event.target.replaceWith(button("Really drop it", function () {
          store.remove(item).then(changed);
        }));
      })
    );
    part.append(acts);
    return part;
  }

  function show() {
    return store.all().then(function (items) {
      var waiting = items.filter(function (item) {
        return item.state === "waiting";
      });
      var refused = items.filter(function (item) {
        return item.state === "refused";
      });
      var words = lineOf(waiting);
      if (refused.length) {
        words = (words ? words + " " : "") + refused.length + " not written: look below.";
      }
      showLine(words);
      var list = document.querySelector("[data-outbox-list]");
      if (list.dataset.seen === JSON.stringify(items)) {
        return; /* a field that is being corrected must not be drawn anew under the fingers */
      }
      list.dataset.seen = JSON.stringify(items);
      list.replaceChildren.apply(
        list,
        refused.map(refusedPart).concat(
          waiting.map(function (item) {
            return make("li", "outbox-item", clock(item.pressed) + " " + item.words);
          })
        )
      );
    });
  }

  function changed() {
    if (others) {
      others.postMessage("changed");
    }
    return show();
  }

  function look() {
    if (!document.hidden) {
      waitMs = FIRST_WAIT_MS;
      send();
    }
  }

  document.addEventListener("DOMContentLoaded", function () {
    window.gambrelStore.then(function (found) {
      store = found;
      show();
      send();
    });
    document.addEventListener("submit", onSubmit);
    document.addEventListener("visibilitychange", look);
    ["online", "pageshow"].forEach(function (name) {
      window.addEventListener(name, look);
    });
    if (others) {
      others.addEventListener("message", function () {
        if (store) {
          show();
        }
      });
    }
  });
})();
