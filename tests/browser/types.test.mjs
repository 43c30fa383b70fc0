// The declarations as a script that embeds the installed package meets them: TypeScript's strict check over an example of every
// export, and wrong calls that it has to refuse.

import assert from 'node:assert/strict';
import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { before, test } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';
import ts from 'typescript';
import { installed } from './installed.mjs';

let here;
let declared;
let program;

before(() => {
  here = installed();
  declared = path.join(here, 'node_modules/dotdown/dotdown.d.ts');
  cpSync(fileURLToPath(new URL('types', import.meta.url)), here, { recursive: true });
  const host = { ...ts.sys, onUnRecoverableConfigFileDiagnostic: (fault) => assert.fail(words(fault)) };
  const { fileNames, options, errors } =
    ts.getParsedCommandLineOfConfigFile(path.join(here, 'tsconfig.json'), {}, host);
  assert.deepEqual(errors.map(words), []);
  program = ts.createProgram(fileNames, options);
});

/** The installed module for Node. */
const module = () => pathToFileURL(path.join(here, 'node_modules/dotdown/node.js'));

/** A fault as the compiler prints it. */
function words({ file, start, code, messageText }) {
  const line = file ? `${path.basename(file.fileName)}:${file.getLineAndCharacterOfPosition(start).line + 1} ` : '';
  return `${line}TS${code} ${ts.flattenDiagnosticMessageText(messageText, '\n')}`;
}

/** What a file calls or makes out of the declarations: `day`, `Finder`, `Finder.step`, `default`. */
function called(file) {
  const checker = program.getTypeChecker();
  const names = new Set();
  const look = (node) => {
    if (ts.isCallExpression(node) || ts.isNewExpression(node)) {
      const { expression } = node;
      let symbol = checker.getSymbolAtLocation(ts.isPropertyAccessExpression(expression) ? expression.name : expression);
      if (symbol && symbol.flags & ts.SymbolFlags.Alias) symbol = checker.getAliasedSymbol(symbol);
      const [declaration] = symbol?.declarations ?? [];
      if (declaration && path.resolve(declaration.getSourceFile().fileName) === declared) {
        names.add(ts.isClassElement(declaration) ? `${declaration.parent.name.text}.${symbol.name}` : symbol.name);
      }
    }
    ts.forEachChild(node, look);
  };
  look(program.getSourceFile(path.join(here, file)));
  return names;
}

test('the declarations, an example of every export and calls that must be refused pass the strict check', () => {
  assert.match(ts.version, /^5\./);
  assert.deepEqual(ts.getPreEmitDiagnostics(program).map(words), []);
});

test('what is declared is what the module exports, and the example calls all of it', async () => {
  const core = await import(module());
  const checker = program.getTypeChecker();
  const names = checker.getExportsOfModule(checker.getSymbolAtLocation(program.getSourceFile(declared)))
    .filter((symbol) => symbol.flags & ts.SymbolFlags.Value).map((symbol) => symbol.name);
  assert.deepEqual(names.sort(), Object.keys(core).sort());
  const methods = Object.entries(core).flatMap(([name, value]) =>
    Object.getOwnPropertyNames(value.prototype ?? {}).filter((own) => own !== 'constructor' && !own.startsWith('__')).map((own) => `${name}.${own}`));
  assert.ok(methods.includes('Finder.step') && methods.includes('Session.record'), methods.join(' '));
  const used = called('example.ts');
  assert.deepEqual([...names, ...methods].filter((name) => !used.has(name)), []);
});

test('every wrong call is refused by itself', () => {
  const file = program.getSourceFile(path.join(here, 'wrong.ts'));
  const expected = file.text.split('\n').flatMap((line, i) => (line.includes('// @ts-expect-error') ? [i + 2] : []));
  assert.ok(expected.length >= 10);
  const bare = ts.createSourceFile(file.fileName, file.text.replaceAll('@ts-expect-error', 'refused:'), file.languageVersion);
  const host = ts.createCompilerHost(program.getCompilerOptions());
  const { getSourceFile } = host;
  host.getSourceFile = (name, ...rest) => (name === file.fileName ? bare : getSourceFile(name, ...rest));
  const faults = ts.createProgram([file.fileName], program.getCompilerOptions(), host).getSemanticDiagnostics(bare);
  const lines = faults.map(({ start }) => bare.getLineAndCharacterOfPosition(start).line + 1);
  assert.deepEqual([...new Set(lines)].sort((a, b) => a - b), expected);
});

test('the example runs in Node', async () => {
  const { outputText } = ts.transpileModule(readFileSync(path.join(here, 'example.ts'), 'utf8'), { compilerOptions: program.getCompilerOptions() });
  writeFileSync(path.join(here, 'example.js'), outputText);
  const { component } = await import(pathToFileURL(path.join(here, 'example.js')));
  const found = await component(readFileSync(path.join(here, 'node_modules/dotdown/dotdown_bg.wasm')));
  const ordered = ({ low, mid, high }) => low <= mid && mid <= high;
  assert.ok(ordered(found.speed) && ordered(found.tub_s));
  assert.match(found.version, /^\d+\.\d+\.\d+$/);
  assert.ok(found.shots.every((shot) => /^\d+ × No\. 10$/.test(shot)) && found.shots.length > 0);
  assert.equal(found.fish, 1);
  assert.equal(found.standing, 'too_few_days');
  assert.deepEqual(found.notes, ['near bank']);
  assert.match(found.book, /"near bank"[^]*"check":"[0-9a-f]{8}"/);
  assert.match(found.calendar, /^BEGIN:VCALENDAR/);
  assert.equal(found.first_step, 'cut');
  assert.ok(found.samples > 0 && found.freezes_in_min > 0 && found.rinses > 0);
  assert.match(found.refused.code, /^[a-z_]+$/);
  for (const [name, value] of Object.entries(found)) assert.ok(value !== undefined && !Number.isNaN(value), name);
});
