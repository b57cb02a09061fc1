/* Where presses wait on this phone: IndexedDB, which outlives a reload, a closed tab and a flat battery.
   Written with strict durability; localStorage was seen to lose its last minute when a browser was killed.
   Where a browser keeps nothing (some private windows), the presses stay in this page's memory, and it says so. */
(function () {
  "use strict";

  var NAME = "gambrel-outbox";
  var LEASE_MS = 20000;

  function newId() {
    var bytes = new Uint8Array(16);
    window.crypto.getRandomValues(bytes); /* randomUUID is absent on plain http */
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    var hex = Array.from(bytes, function (byte) {
      return (byte < 16 ? "0" : "") + byte.toString(16);
    }).join("");
    return [8, 12, 16, 20].reduce(function (text, place, number) {
      return text.slice(0, place + number) + "-" + text.slice(place + number);
    }, hex);
  }

  var me = newId(); /* this tab */

  function opened() {
    return new Promise(function (resolve, reject) {
      var asked = window.indexedDB.open(NAME, 1);
      asked.onupgradeneeded = function () {
        asked.result.createObjectStore("items", { keyPath: "seq", autoIncrement: true });
        asked.result.createObjectStore("lease", { keyPath: "name" });
      };
      asked.onsuccess = function () {
        resolve(asked.result);
      };
      asked.onerror = function () {
        reject(asked.error);
      };
    });
  }

  /* One transaction; resolves once it is on the disk, with what `work` put in its box. */
  function within(base, names, work) {
    return new Promise(function (resolve, reject) {
      var change = base.transaction(names, "readwrite", { durability: "strict" });
      var box = {};
      work(change, box);
      change.oncomplete = function () {
        resolve(box.value);
      };
      change.onerror = change.onabort = function () {
        reject(change.error);
      };
    });
  }

  function isForMe(item, who) {
    return item.state === "waiting" && (item.who === "" || item.who === who);
  }

  function onDisk(base) {
    return {
      lasts: true,
      newId: newId,
      add: function (item) {
        return within(base, ["items"], function (change) {
          change.objectStore("items").add(item);
        });
      },
      all: function () {
        return within(base, ["items"], function (change, box) {
          change.objectStore("items").getAll().onsuccess = function (event) {
            box.value = event.target.result;
          };
        });
      },
      put: function (item) {
        return within(base, ["items"], function (change) {
          change.objectStore("items").put(item);
        });
      },
      remove: function (item) {
        return within(base, ["items"], function (change) {
          change.objectStore("items").delete(item.seq);
        });
      },
      /* The first press to send, or "busy" while another tab sends. The browser runs the transactions of
         all tabs one after another, so two tabs never both hold the lease (navigator.locks needs https). */
      next: function (who) {
        return within(base, ["items", "lease"], function (change, box) {
          var leases = change.objectStore("lease");
          leases.get("sender").onsuccess = function (event) {
            var lease = event.target.result;
            if (lease && lease.holder !== me && lease.until > Date.now()) {
              box.value = "busy";
              return;
            }
            leases.put({ name: "sender", holder: me, until: Date.now() + LEASE_MS });
            change.objectStore("items").openCursor().onsuccess = function (step) {
              var cursor = step.target.result;
              if (cursor && isForMe(cursor.value, who)) {
                box.value = cursor.value;
              } else if (cursor) {
                cursor.continue();
              }
            };
          };
        });
      },
      release: function () {
        return within(base, ["lease"], function (change) {
          var leases = change.objectStore("lease");
          leases.get("sender").onsuccess = function (event) {
            if (event.target.result && event.target.result.holder === me) {
              leases.delete("sender");
            }
          };
        });
      },
    };
  }

  function inMemory() {
    var items = [];
    var last = 0;
    return {
      lasts: false,
      newId: newId,
      add: function (item) {
        last += 1;
        item.seq = last;
        items.push(item);
        return Promise.resolve();
      },
      all: function () {
        return Promise.resolve(items.slice());
      },
      put: function (item) {
        items = items.map(function (one) {
          return one.seq === item.seq ? item : one;
        });
        return Promise.resolve();
      },
      remove: function (item) {
        items = items.filter(function (one) {
          return one.seq !== item.seq;
        });
        return Promise.resolve();
      },
      next: function (who) {
        return Promise.resolve(
          items.find(function (item) {
            return isForMe(item, who);
          })
        );
      },
      release: function () {
        return Promise.resolve();
      },
    };
  }

  window.gambrelStore = (window.indexedDB ? opened() : Promise.reject()).then(onDisk).catch(inMemory);
})();
