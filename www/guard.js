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
  // The page comes with the worked day of a first visitor in it. Who has been here before, or brings a link, waits for
  // theirs and is not shown another's first.
  var own = location.hash.length > 1 && location.hash !== '#day';
  try {
    own = own || Boolean(navigator.serviceWorker && navigator.serviceWorker.controller);
    for (var i = 0; !own && i < localStorage.length; i++) own = localStorage.key(i).indexOf('dotdown.') === 0;
  } catch (ignored) {
    // nothing is kept here
  }
  if (own) document.documentElement.setAttribute('data-wait', '');
  if (!fit) {
    document.addEventListener('DOMContentLoaded', function () {
      document.getElementById('too-old').removeAttribute('hidden');
    });
  }
})();
