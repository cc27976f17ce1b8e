import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Hono } from 'hono';
import type { WebParts } from '../page-facts.js';

/** The only files that are served, by name: nothing of an address ever reaches the file system. */
const served: Readonly<Record<string, string>> = {
  'page.js': 'text/javascript; charset=utf-8',
  'style.css': 'text/css; charset=utf-8',
};

export function assetRoutes(parts: WebParts): Hono {
  const read = new Map<string, Promise<Uint8Array<ArrayBuffer> | null>>();
  return new Hono().get('/assets/:file', async (context) => {
    const file = context.req.param('file');
    const type = Object.hasOwn(served, file) ? served[file] : undefined;
    if (type === undefined) return context.text('There is no such file\n', 404);
    const loading = read.get(file) ?? load(join(parts.assets, file));
    read.set(file, loading);
    const bytes = await loading;
    if (bytes === null) return context.text('This file was not built\n', 404);
    return context.body(bytes, 200, { 'Content-Type': type, 'Cache-Control': 'no-cache' });
  });
}

async function load(path: string): Promise<Uint8Array<ArrayBuffer> | null> {
  try {
    return new Uint8Array(await readFile(path));
  } catch {
    return null;
  }
}
