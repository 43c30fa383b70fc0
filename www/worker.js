// Starts the core in the page's worker. First comes the compiled module; all that follows are the page's orders.

import { initSync, work } from './app.js';

onmessage = ({ data }) => {
  initSync({ module: data });
  work();
};
