// Says which library the bytes of a wasm file belong to: `node wasm_bytes.mjs FILE [--functions N]`.
// Reads the name section, so FILE is the module as the compiler wrote it, before names are stripped.

import { readFileSync } from 'node:fs';

const [file, flag, count] = process.argv.slice(2);
const bytes = readFileSync(file);
let at = 8;

/** One unsigned LEB128 number. */
function number() {
  let value = 0;
  let shift = 0;
  let byte;
  do {
    byte = bytes[at++];
    value += (byte & 127) * 2 ** shift;
    shift += 7;
  } while (byte & 128);
  return value;
}

function text() {
  const length = number();
  at += length;
  return bytes.toString('utf8', at - length, at);
}

const sizes = [];
const names = new Map();
let imported = 0;
let data = 0;
while (at < bytes.length) {
  const id = bytes[at++];
  const length = number();
  const end = at + length;
  if (id === 2) {
    for (let left = number(); left > 0; left--) {
      text();
      text();
      const kind = bytes[at++];
      if (kind === 0) {
        number();
        imported++;
      } else if (kind === 3) at += 2;
      else {
        if (kind === 1) at++;
        if (number() & 1) number();
        number();
      }
    }
  } else if (id === 10) {
    for (let left = number(); left > 0; left--) {
      const size = number();
      sizes.push(size);
      at += size;
    }
  } else if (id === 11) data = length;
  else if (id === 0 && text() === 'name') {
    while (at < end) {
      const part = bytes[at++];
      const stop = number() + at;
      if (part === 1) for (let left = number(); left > 0; left--) names.set(number(), text());
      at = stop;
    }
  }
  at = end;
}

/** The crate a symbol belongs to: where its code was written; for a trait's implementation, the type's crate. */
function owner(name) {
  if (name.startsWith('_ZN')) {
    const first = /^_ZN(\d+)(.*)/.exec(name);
    const word = first[2].slice(0, Number(first[1]));
    if (!word.includes('$')) return word;
    const plain = word.replaceAll('$u20$', ' ').replaceAll('$LT$', '<').replaceAll('$GT$', '>').replaceAll('$RF$', '&');
    return /(?: for |^_?[<&]+(?:mut )?(?:dyn )?)(?:[&<]|mut |dyn )*([a-z_0-9]+)\.\./.exec(plain)?.[1] ?? /([a-z_0-9]+)\.\./.exec(plain)?.[1] ?? 'other';
  }
  const mangled = /C[A-Za-z0-9]*_(\d+)_?([A-Za-z_0-9]+)/.exec(name);
  if (name.startsWith('_R') && mangled) return mangled[2].slice(0, Number(mangled[1]));
  return /^([a-z_0-9]+)/.exec(name)?.[1] ?? 'other';
}

const libraries = new Map();
sizes.forEach((size, i) => {
  const library = owner(names.get(i + imported) ?? '');
  libraries.set(library, (libraries.get(library) ?? 0) + size);
});
const line = (name, size) => console.log(`${String(size).padStart(9)}  ${name}`);
for (const [name, size] of [...libraries].sort((a, b) => b[1] - a[1])) if (size > 500) line(name, size);
line('data (texts and tables)', data);
if (flag === '--functions') {
  const order = sizes.map((size, i) => [size, names.get(i + imported) ?? '?']).sort((a, b) => b[0] - a[0]);
  for (const [size, name] of order.slice(0, Number(count))) line(name.slice(0, 170), size);
}
