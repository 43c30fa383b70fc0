// Starts the core in the page's worker. First comes the compiled module; all that follows are the page's orders.

import { initSync, work } from './app.js';

// A host with a newer version answers an older page's address with the newer worker, whose core is not the one that is
// handed over.
if (!'./app.js'.endsWith(location.search)) throw new Error('the worker of another version');

onmessage = ({ data }) => {
  initSync({ module: data });
  work();
};
