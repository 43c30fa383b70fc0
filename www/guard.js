// The part of the page that is there whatever else does not come: it stands in the page itself. It says so in a sentence
// when the browser is too old and when the page does not start; then it offers to try again, to fetch the page anew and to
// save what lies on this phone. It asks no module for anything, and is written in the oldest JavaScript, because an old
// browser reads it, too.
(function () {
  // The smallest module that uses what the compiled core uses: bulk memory, sign extension, saturating conversion
  // and reference types. An engine that refuses it would refuse the core.
  var probe = [
    0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 5, 3, 1, 0, 0, 10, 38, 1, 36, 0,
    65, 0, 192, 26, 67, 0, 0, 0, 0, 252, 0, 26, 65, 0, 65, 0, 65, 0, 252, 11, 0, 208, 111, 26, 65, 0, 65, 0, 65, 0, 252, 10, 0, 0, 11
  ];
  var fit = false;
  try {
    fit = 'noModule' in document.createElement('script') && 'fetch' in window && 'allSettled' in Promise &&
      'structuredClone' in window && WebAssembly.validate(new Uint8Array(probe));
  } catch (ignored) {
    fit = false;
  }
  var root = document.documentElement;
  var data = root.dataset || {};
  /** Named by the page's path: other copies of the page under this origin keep their own. */
  var name = 'dotdown ' + location.pathname.replace(/[^/]*$/, '');
  /** Of the small storage: what begins so is the page's. */
  var OURS = 'dotdown.';
  /** How long nothing may come, how long until something can be done about it, and how long a store may take, ms. */
  var QUIET_MS = 8000;
  var LONG_MS = 30000;
  var STORE_MS = 5000;
  var MEND_MS = 120000;
  /** After a fault in the middle of its work the page loads itself anew, but not twice within this, ms. */
  var AGAIN_MS = 60000;
  var up = false;
  var timers = [];

  function byId(id) {
    return document.getElementById(id);
  }

  // Once all of the markup is read; modules, which come later, are not waited for.
  function whenRead(then) {
    if (document.readyState !== 'loading') then();
    else document.addEventListener('readystatechange', then, { once: true });
  }

  /** Shows a sentence above the page, perhaps with what can be done. */
  function say(sentence, offers) {
    whenRead(function () {
      var place = byId('broken');
      place.querySelector('p').textContent = sentence;
      place.querySelector('.actions').hidden = !offers;
      place.querySelector('[data-rescue="mend"]').hidden = !(data.core && isSecureContext && 'serviceWorker' in navigator);
      place.hidden = false;
    });
  }

  function stopped(sentence) {
    timers.forEach(clearTimeout);
    say(sentence, true);
  }

  function later(ms, what) {
    timers.push(setTimeout(what, ms));
  }

  /**
   * After a fault inside the core the page is loaded anew: each change was stored when it was made. The core's own faults
   * are a panic, and an engine's: WebKitGTK 2.50 traps in one opening of some 200 of a fished day. Where that was tried
   * within a minute it says `sentence`.
   */
  function anew(sentence) {
    var last = Infinity;
    try {
      last = Number(sessionStorage.getItem(OURS + 'again'));
      sessionStorage.setItem(OURS + 'again', String(Date.now()));
    } catch (ignored) {
      last = Infinity; // it would not be known that this was tried
    }
    if (Date.now() - last > AGAIN_MS) location.reload();
    else stopped(sentence);
  }

  /** After a fault while the page runs; of others it goes on. */
  function faulted(error) {
    setTimeout(function () {
      if (!up || !(error instanceof WebAssembly.RuntimeError || window.dotdown.stuck())) return;
      anew('Dotdown has stopped at a fault of its own. Try again: what this phone kept is still there.');
    });
  }

  /** The page did not come up. A fault of the core itself may not come twice. */
  function unstarted(error) {
    note(error);
    var sentence = 'Dotdown could not start: a part of it did not come, or came damaged, or the browser is too old.';
    if (error instanceof WebAssembly.RuntimeError) anew(sentence);
    else stopped(sentence);
  }

  /** Notes what went wrong, for the reader's problem report. */
  function note(what) {
    try {
      localStorage.setItem(OURS + 'error', ((data.build || '') + ' ' + what).slice(0, 300));
    } catch (ignored) {
      // nothing is kept here
    }
  }

  addEventListener('error', function (event) {
    var from = event.target;
    var address = from && from !== window && (from.src || from.href);
    if (address) note(String(address).replace(/.*\//, '') + ' did not come, or not as it was made');
    else if (event.message) note(event.message);
    if (!up) {
      stopped('Dotdown could not start: a part of it did not come, or came damaged.');
    } else if (!address) {
      faulted(event.error);
    }
  }, true);
  addEventListener('unhandledrejection', function (event) {
    note(event.reason);
    faulted(event.reason);
  });

  // --- what is fetched ---

  // This script waits for the style, and so hears nothing of it. One that did not come has no rules.
  var style = document.querySelector('link[rel="stylesheet"]');
  var plain = false;
  try {
    plain = Boolean(style && !style.sheet.cssRules.length);
  } catch (ignored) {
    plain = true;
  }
  if (plain) note('style.css did not come, or not as it was made');

  /** The addresses that run as scripts besides the page's own, and no others. */
  var scripts = {
    createScriptURL: function (which) {
      if (which === 'sw.js') return './sw.js';
      if (which === 'app.js') return './app.js?' + data.build;
      var inside = byId('worker-inside');
      if (which === 'worker.js' && !inside) return './worker.js?' + data.build;
      if (which === 'worker.js') return URL.createObjectURL(new Blob([inside.textContent], { type: 'text/javascript' }));
      throw new TypeError('no script of the page');
    }
  };
  try {
    if (window.trustedTypes) scripts = trustedTypes.createPolicy('dotdown-address', scripts);
  } catch (error) {
    note(error); // the addresses go as they are
  }

  var core;
  /** Asks for the core, once; gives the answer to come for its compiled part. */
  function ask() {
    if (core) return core;
    // As a script of the page, which every engine holds to its hash. One that was refused is asked for again when it is
    // imported, and then no hash is looked at.
    var script = document.createElement('script');
    script.type = 'module';
    script.src = scripts.createScriptURL('app.js');
    script.integrity = data.script;
    script.fetchPriority = 'high';
    script.onerror = function () { window.dotdown.torn = true; };
    document.head.appendChild(script);
    core = fetch('./app_bg.wasm?' + data.build, { credentials: 'same-origin', integrity: data.core });
    core.catch(function () {}); // start.js hears of it
    return core;
  }

  // The page comes with the worked day of a first visitor in it. Who has been here before, brings a link or begins on
  // another screen waits for theirs, and is not shown another's first.
  var own = location.hash.length > 1 && location.hash !== '#day';
  try {
    own = own || Boolean(navigator.serviceWorker && navigator.serviceWorker.controller);
    own = own || localStorage.getItem(OURS + 'here') !== null;
  } catch (ignored) {
    // nothing is kept here
  }
  if (own) root.setAttribute('data-wait', '');
  function askWhenPainted() {
    requestAnimationFrame(function () { requestAnimationFrame(function () { setTimeout(ask); }); });
  }
  // Not before a first visitor sees the worked day: on a slow line the core's bytes would stand in the way. A hidden page
  // paints nothing, and waits for start.js. The page as one file has everything inside, and nothing of it may be fetched.
  if (fit && data.core) {
    if (own) ask();
    else whenRead(askWhenPainted);
  }
  if (fit) {
    later(QUIET_MS, function () { say('Loading: not all of Dotdown has come yet.'); });
    later(LONG_MS, function () { say('Loading takes long: not all of Dotdown has come yet.', true); });
  } else {
    document.addEventListener('DOMContentLoaded', function () {
      byId('too-old').removeAttribute('hidden');
    });
  }

  // --- what can be done about it ---

  function withEnd(work, ms) {
    return Promise.race([work, new Promise(function (_, reject) { setTimeout(reject, ms, new Error('no answer')); })]);
  }

  /** Loads the page again; WebKit would have at hand what it was answered for a script that did not come. */
  function again() {
    var asked = ['app.js', 'start.js'].map(function (script) {
      return fetch('./' + script + '?' + data.build, { cache: 'reload' }).catch(function () {});
    });
    withEnd(Promise.all(data.core ? asked : []), STORE_MS).then(function () { location.reload(); }, function () { location.reload(); });
  }

  /** The end of a worker's way: `installed` or `activated`. */
  function reached(worker, state) {
    return new Promise(function (resolve, reject) {
      function look() {
        if (worker.state === 'redundant') reject(new Error('not stored'));
        if (worker.state === state || worker.state === 'activated') resolve();
      }
      worker.addEventListener('statechange', look);
      look();
    });
  }

  /** Has the service worker fetch and check a whole version: only then is the one that lies here replaced. */
  function mend() {
    say('The whole page is fetched anew: leave it open.');
    var options = { scope: './', updateViaCache: 'none' };
    return navigator.serviceWorker.register(scripts.createScriptURL('sw.js'), options).then(function (registration) {
      return Promise.resolve(registration.installing || registration.update()).then(function () {
        var fresh = registration.installing || registration.waiting;
        if (!fresh) {
          return new Promise(function (resolve, reject) {
            var answer = new MessageChannel();
            answer.port1.onmessage = function (event) { (event.data ? resolve : reject)(); };
            registration.active.postMessage('fetch anew', [answer.port2]);
          });
        }
        return reached(fresh, 'installed').then(function () {
          fresh.postMessage('take over');
          return reached(fresh, 'activated');
        });
      });
    });
  }

  /** All that the page's database holds, as it lies there; nothing where there is none. */
  function database() {
    return new Promise(function (resolve, reject) {
      var request = indexedDB.open(name);
      request.onerror = function () { reject(request.error); };
      // There was none: it must not stay behind without the stores that the page makes.
      request.onupgradeneeded = function () {
        request.transaction.abort();
        resolve({});
      };
      request.onsuccess = function () {
        var base = request.result;
        base.onversionchange = function () { base.close(); };
        var records = base.transaction('records').objectStore('records');
        var keys = records.getAllKeys();
        var values = records.getAll();
        values.transaction.onabort = function () { reject(values.error); };
        values.transaction.oncomplete = function () {
          var all = {};
          keys.result.forEach(function (key, i) { all[key] = values.result[i]; });
          base.close();
          resolve(all);
        };
      };
    });
  }

  /** What the small storage holds of the page. */
  function small() {
    var all = {};
    for (var i = 0; i < localStorage.length; i++) {
      var key = localStorage.key(i);
      if (key.indexOf(OURS) === 0) all[key] = localStorage.getItem(key);
    }
    return all;
  }

  /** Hands over what lies on this phone as one file; a part that cannot be read is named in it, and said. */
  function save() {
    function part(read) {
      return withEnd(new Promise(function (resolve) { resolve(read()); }), STORE_MS)
        .catch(function (error) { return { unreadable: String(error) }; });
    }
    return Promise.all([part(database), part(small)]).then(function (parts) {
      if (parts.every(function (one) { return one.unreadable; })) throw new Error(parts[0].unreadable);
      var text = JSON.stringify({ build: data.build, name: name, records: parts[0], small: parts[1] }, null, 1);
      var file = new File([text], 'dotdown-raw-copy.json', { type: 'application/json' });
      // On an iPhone's home screen a download fails.
      if (navigator.standalone && navigator.share) {
        return navigator.share({ files: [file] }).then(function () { return parts; });
      }
      var link = document.createElement('a');
      link.href = URL.createObjectURL(file);
      link.download = file.name;
      link.click();
      setTimeout(URL.revokeObjectURL, 10000, link.href);
      return parts;
    }).then(function (parts) {
      return parts.some(function (one) { return one.unreadable; })
        ? 'A part of what lies on this phone could not be read. The file holds the rest.'
        : 'The file holds all that lies on this phone.';
    }, function () { return 'What lies on this phone could not be read. Try again, perhaps with other tabs of this page closed.'; });
  }

  document.addEventListener('click', function (event) {
    var button = event.target.closest && event.target.closest('[data-rescue]');
    var what = button && button.getAttribute('data-rescue');
    if (what === 'again') again();
    if (what === 'mend') {
      withEnd(new Promise(function (resolve) { resolve(mend()); }), MEND_MS).then(function () { location.reload(); }, function (error) {
        note(error);
        say('The page could not be fetched whole, so nothing was changed. Repair it where there is a signal.', true);
      });
    }
    if (what === 'save') {
      save().then(function (sentence) {
        var place = up && document.querySelector('[data-backup-said]');
        if (place) place.textContent = sentence;
        else say(sentence, true);
      });
    }
  });

  window.dotdown = {
    fit: fit,
    name: name,
    ask: ask,
    script: function (which) { return scripts.createScriptURL(which); },
    unstarted: unstarted,
    /** The last byte has come: what is left is quick. */
    arrived: function () {
      timers.forEach(clearTimeout);
      later(QUIET_MS, function () { stopped('Dotdown could not start: all of it has come, but it does not run.'); });
    },
    /** The page runs; `stuck` says whether it was left in the middle of an event. */
    started: function (stuck) {
      up = true;
      window.dotdown.stuck = stuck;
      timers.forEach(clearTimeout);
      if (plain) say('Dotdown runs, but its style did not come, or came damaged.', true);
      else byId('broken').hidden = true;
    }
  };
})();
