// Says so in a sentence when the browser is too old. Written in the oldest JavaScript, because such a browser reads it.
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
  window.dotdownFit = fit;
  // The page comes with the worked day of a first visitor in it. Who has been here before, brings a link or begins on
  // another screen waits for theirs, and is not shown another's first.
  var own = location.hash.length > 1 && location.hash !== '#day';
  try {
    own = own || Boolean(navigator.serviceWorker && navigator.serviceWorker.controller);
    own = own || localStorage.getItem('dotdown.here') !== null;
  } catch (ignored) {
    // nothing is kept here
  }
  if (own) document.documentElement.setAttribute('data-wait', '');
  // Asks for the core; start.js takes it from there. Not before a first visitor sees the worked day: on a slow line its
  // bytes would stand in the way. A hidden page paints nothing, and waits for start.js.
  function ask() {
    [['modulepreload', 'app.js'], ['preload', 'app_bg.wasm']].forEach(function (one) {
      var link = document.createElement('link');
      link.rel = one[0];
      if (one[0] === 'preload') {
        link.as = 'fetch';
        link.type = 'application/wasm';
        link.crossOrigin = 'anonymous';
      }
      link.href = one[1];
      document.head.appendChild(link);
    });
  }
  // Once all of the markup is read; modules, which come later, are not waited for.
  function whenRead(then) {
    if (document.readyState !== 'loading') then();
    else document.addEventListener('readystatechange', then, { once: true });
  }
  function askWhenPainted() {
    requestAnimationFrame(function () { requestAnimationFrame(function () { setTimeout(ask); }); });
  }
  // The page as one file has everything inside, and nothing of it may be fetched.
  if (fit && document.currentScript.src) {
    if (own) ask();
    else whenRead(askWhenPainted);
  }
  if (!fit) {
    document.addEventListener('DOMContentLoaded', function () {
      document.getElementById('too-old').removeAttribute('hidden');
    });
  }
})();
