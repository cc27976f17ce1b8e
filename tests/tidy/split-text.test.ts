// biome-ignore-all lint/suspicious/noTemplateCurlyInString: the texts here are scripts
import { expect, test } from 'vitest';
import { splitText } from './split-text.js';

/** The parts with their blanks closed up. */
function parts(text: string) {
  const { code, codeWithStrings, comments } = splitText(text);
  const close = (part: string) => part.replaceAll(/\s+/g, ' ').trim();
  return { code: close(code), strings: close(codeWithStrings), comments: close(comments) };
}

test.each([
  ['const a = 1; // why', 'const a = 1;', 'const a = 1;', '// why'],
  ['/* one\n two */ b();', 'b();', 'b();', '/* one two */'],
  ["say('// no comment');", 'say( );', "say('// no comment');", ''],
  ['say("it\'s", a); // yes', 'say( , a);', 'say("it\'s", a);', '// yes'],
  ["say('it\\'s // in', a);", 'say( , a);', "say('it\\'s // in', a);", ''],
  ['a = b / c; // d / e', 'a = b / c;', 'a = b / c;', '// d / e'],
  ['x = /[/]\\/\\//.test(y); // z', 'x = .test(y);', 'x = /[/]\\/\\//.test(y);', '// z'],
  ['(n + 1) / 2; f(/a"b/);', '(n + 1) / 2; f( );', '(n + 1) / 2; f(/a"b/);', ''],
  ["<p>don't</p>\ncall(); // c", '<p>don call();', "<p>don't</p> call();", '// c'],
])('%s', (text, code, strings, comments) => {
  expect(parts(text)).toEqual({ code, strings, comments });
});

test('templates: text is a string, insertions are code, at any depth', () => {
  const text = 'f(`a // ${ g(`b ${h({ i: 1 })} c`) } d`); // e';
  expect(parts(text)).toEqual({
    code: 'f(` ${ g(` ${h({ i: 1 })} `) } `);',
    strings: 'f(`a // ${ g(`b ${h({ i: 1 })} c`) } d`);',
    comments: '// e',
  });
});

test('lines and columns stay where they are', () => {
  const text = 'a();\n/* x\n y */ b(`c\n`);\n';
  const { code, codeWithStrings, comments } = splitText(text);
  for (const part of [code, codeWithStrings, comments]) {
    expect(part.split('\n').map(({ length }) => length)).toEqual(
      text.split('\n').map(({ length }) => length),
    );
  }
  expect(code.indexOf('b(')).toBe(text.indexOf('b('));
});
