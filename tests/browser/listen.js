// Put first into a copy of the page for WebKitGTK, whose driver tells nothing of the console: keeps every error over
// all loads of the tab, for the harness to read.
(() => {
  const KEY = 'heard by the harness';
  const hear = (text) => {
    if (origin === 'null' && parent !== window) return; // in a sandbox there is nothing to keep it in
    const heard = JSON.parse(sessionStorage.getItem(KEY) ?? '[]');
    heard.push(text);
    sessionStorage.setItem(KEY, JSON.stringify(heard.slice(0, 100)));
  };
  const plain = console.error;
  console.error = (...parts) => {
    hear(parts.map(String).join(' '));
    plain.apply(console, parts);
  };
  addEventListener('error', (event) => hear(event.message ?? `${event.target?.src ?? event.target?.href} did not load`), true);
  addEventListener('unhandledrejection', (event) => hear(`unhandled: ${event.reason}`));
  document.addEventListener('securitypolicyviolation', (event) => hear(`policy ${event.effectiveDirective}: ${event.blockedURI}`));
})();
