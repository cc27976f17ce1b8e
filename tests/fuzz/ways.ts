import { parseAst } from 'vitest/node';

/**
 * One way out of a decision of compiled code. Counted are: both ways of `if` and of `?:`; the right
 * side of `&&`, `||` and `??` reached, and passed over; `?.` with something there, and with none;
 * the body of each loop; each `case` with code of its own; each `catch`; each default value taken.
 *
 * The engine's own counters are not used: behind an `if` that returns they give some of what
 * follows the count of the whole function, so ways never taken look as if they had been.
 */
export interface Way {
  readonly line: number;
  readonly what: string;
}

/** The same code with a mark at each way, and the ways in the order of their marks. */
export interface MarkedCode {
  readonly code: string;
  readonly ways: readonly Way[];
}

/** Where marks are kept: a list of bytes by path, each 1 once its way was taken. */
export const marksKey = 'baywardMarks';

interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly [key: string]: unknown;
}

export function withMarks(text: string, path: string): MarkedCode {
  const work = new Marking(text);
  work.visit(asNode(parseAst(text)));
  const size = work.ways.length;
  const head =
    `const $m = globalThis.${marksKey}.open(${JSON.stringify(path)}, ${size});` +
    'const $b = (at, value) => { $m[value ? at : at + 1] = 1; return value; };' +
    'const $n = (at, value) => { $m[value === null || value === undefined ? at + 1 : at] = 1; return value; };';
  return { code: head + work.code(), ways: work.ways };
}

/** Collects pieces to be put into the text; the text itself stays as it is. */
class Marking {
  readonly ways: Way[] = [];
  readonly #text: string;
  readonly #before = new Map<number, string>();
  readonly #after = new Map<number, string>();

  constructor(text: string) {
    this.#text = text;
  }

  code(): string {
    const places = [...new Set([...this.#before.keys(), ...this.#after.keys()])];
    let code = '';
    let from = 0;
    for (const at of places.sort((one, other) => one - other)) {
      code += this.#text.slice(from, at);
      code += (this.#after.get(at) ?? '') + (this.#before.get(at) ?? '');
      from = at;
    }
    return code + this.#text.slice(from);
  }

  visit(node: Node): void {
    this.#mark(node);
    for (const child of childrenOf(node)) this.visit(child);
  }

  #mark(node: Node): void {
    const { type } = node;
    if (type === 'IfStatement' || type === 'ConditionalExpression') {
      this.#wrap(part(node, 'test'), '$b', ['yes', 'no']);
    } else if (type === 'LogicalExpression') {
      this.#logical(node);
    } else if (type === 'MemberExpression' && node.optional === true) {
      this.#wrap(part(node, 'object'), '$n', optionalWays);
    } else if (type === 'CallExpression' && node.optional === true) {
      this.#optionalCall(part(node, 'callee'));
    } else if (loops.has(type)) {
      this.#enter(part(node, 'body'), 'loop body');
    } else if (type === 'CatchClause') {
      this.#enter(part(node, 'body'), 'catch');
    } else if (type === 'SwitchCase') {
      this.#case(node);
    } else if (type === 'AssignmentPattern') {
      this.#default(part(node, 'right'));
    }
  }

  /** In a row of one operator the right side is passed over by the piece just before it. */
  #logical(node: Node): void {
    const left = part(node, 'left');
    const isRow = left.type === 'LogicalExpression' && left.operator === node.operator;
    const decides = isRow ? part(left, 'right') : left;
    const operator = String(node.operator);
    const right = `right of ${operator}`;
    const over = `passes over ${operator}`;
    if (operator === '&&') this.#wrap(decides, '$b', [right, over]);
    else this.#wrap(decides, operator === '||' ? '$b' : '$n', [over, right]);
  }

  /** A method that is called where it may be missing would lose its object. */
  #optionalCall(callee: Node): void {
    if (callee.type === 'MemberExpression' || callee.type === 'ChainExpression') return;
    this.#wrap(callee, '$n', optionalWays);
  }

  #wrap(node: Node, mark: '$b' | '$n', whats: readonly [string, string]): void {
    const at = this.ways.length;
    for (const what of whats) this.#way(node, what);
    this.#put(node, `${mark}(${at}, (`, '))');
  }

  #enter(body: Node, what: string): void {
    const at = this.#way(body, what);
    this.#put(body, `{ $m[${at}] = 1; `, ' }');
  }

  #case(node: Node): void {
    const consequent = Array.isArray(node.consequent) ? node.consequent.filter(isNode) : [];
    const [first] = consequent;
    if (first !== undefined) this.#put(first, `$m[${this.#way(node, 'case')}] = 1; `, '');
  }

  #default(value: Node): void {
    const at = this.#way(value, 'default value');
    this.#put(value, `($m[${at}] = 1, `, ')');
  }

  #way(node: Node, what: string): number {
    const line = this.#text.slice(0, node.start).split('\n').length;
    return this.ways.push({ line, what }) - 1;
  }

  /** Outer nodes come first, so their pieces lie outside of those of inner ones. */
  #put({ start, end }: Node, before: string, after: string): void {
    this.#before.set(start, (this.#before.get(start) ?? '') + before);
    this.#after.set(end, after + (this.#after.get(end) ?? ''));
  }
}

const loops = new Set([
  'ForStatement',
  'ForOfStatement',
  'ForInStatement',
  'WhileStatement',
  'DoWhileStatement',
]);
const optionalWays = ['something for ?.', 'nothing for ?.'] as const;

function part(node: Node, key: string): Node {
  return asNode(node[key]);
}

function childrenOf(node: Node): readonly Node[] {
  return Object.values(node).flatMap((value) =>
    Array.isArray(value) ? value.filter(isNode) : isNode(value) ? [value] : [],
  );
}

function isNode(value: unknown): value is Node {
  return typeof value === 'object' && value !== null && 'type' in value && 'start' in value;
}

function asNode(value: unknown): Node {
  if (!isNode(value)) throw new Error('The parser gave no node where one was expected');
  return value;
}
