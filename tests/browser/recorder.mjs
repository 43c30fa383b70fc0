// A proxy that every engine under test is told to use for all but this machine. It lets nothing through, and keeps what
// was tried: whatever the page, or the browser for it, would have sent to another machine.

import http from 'node:http';

const seen = [];
let port;

/** The port of the recorder, which starts at the first call and lives as long as this process. */
export function recorder() {
  port ??= new Promise((resolve, reject) => {
    const server = http.createServer((request, response) => {
      seen.push(`${request.method} ${request.url}`);
      response.writeHead(403, { Connection: 'close' }).end();
    });
    const refuse = (request, socket) => {
      seen.push(`${request.method} ${request.url}`);
      socket.on('error', () => {});
      socket.end('HTTP/1.1 403 Forbidden\r\nConnection: close\r\n\r\n');
    };
    server.on('connect', refuse);
    server.on('upgrade', refuse);
    server.on('clientError', (error, socket) => {
      seen.push(`unreadable: ${error.message}`);
      socket.destroy();
    });
    server.on('error', reject);
    server.listen(0, '127.0.0.1', () => resolve(server.address().port));
    server.unref();
  });
  return port;
}

/** What was tried since the last call. */
export function strays() {
  return seen.splice(0);
}
