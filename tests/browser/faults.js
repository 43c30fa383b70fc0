// Put into a copy of the site by storage.test.mjs, before any other script: the fault that the address names.
'use strict';
const fault = new URLSearchParams(location.search).get('fault') ?? '';
const refuse = (name) => () => { throw new DOMException('refused by the test', name); };
const { open } = IDBFactory.prototype;
if (fault.includes('no-local')) Object.defineProperty(window, 'localStorage', { get: refuse('SecurityError') });
if (fault.includes('no-base')) IDBFactory.prototype.open = refuse('SecurityError');
if (fault.includes('full-local')) Storage.prototype.setItem = refuse('QuotaExceededError');
if (fault.includes('full-base')) IDBObjectStore.prototype.put = IDBObjectStore.prototype.add = refuse('QuotaExceededError');
if (fault.includes('late-base')) IDBFactory.prototype.open = function (...what) {
  const [request, late] = [open.apply(this, what), {}];
  const answer = (name) => () => setTimeout(() => { late.result = request.result; late[name](); }, 6000);
  request.onsuccess = answer('onsuccess');
  return late;
};
if (fault.includes('hung-lock')) LockManager.prototype.request = () => new Promise(() => {});
if (fault.includes('hung-base')) {
  const { transaction } = IDBDatabase.prototype;
  window.hung = true;
  IDBDatabase.prototype.transaction = function (...what) {
    const change = transaction.apply(this, what);
    // One request after another, so that it never comes to its end; an abort ends it all the same.
    change.commit = () => {}; // it ends when it is let go
    let over = false; // WebKitGTK may tell of a request's success after the abort
    change.addEventListener('abort', () => { over = true; });
    const { abort } = change;
    change.abort = () => { over = true; abort.call(change); };
    const more = () => { if (window.hung && !over) change.objectStore('records').get('').onsuccess = more; };
    if (what[1] === 'readwrite') more();
    return change;
  };
}
