import type { MiddlewareHandler } from 'hono';

/** Names under which a page on loopback may be asked for; anything else is another site's trick. */
const loopbackNames: readonly string[] = ['localhost', '127.0.0.1', '[::1]'];

const contentPolicy = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data:",
  "connect-src 'self'",
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** Headers on every answer: nothing from elsewhere is loaded, framed, kept or told to others. */
export function securityHeaders(): MiddlewareHandler {
  return async (context, next) => {
    await next();
    context.header('Content-Security-Policy', contentPolicy);
    context.header('X-Content-Type-Options', 'nosniff');
    context.header('X-Frame-Options', 'DENY');
    context.header('Referrer-Policy', 'same-origin');
    context.header('Cross-Origin-Opener-Policy', 'same-origin');
    context.header('Cross-Origin-Resource-Policy', 'same-origin');
    if (!context.res.headers.has('Cache-Control')) context.header('Cache-Control', 'no-store');
  };
}

/**
 * Refuses requests whose Host is not one of ours. A hostile page can point its own name at
 * 127.0.0.1 (DNS rebinding); it cannot make the browser send our name.
 */
export function onlyKnownHosts(configured: readonly string[]): MiddlewareHandler {
  const known = new Set([...loopbackNames, ...configured].map((name) => name.toLowerCase()));
  return async (context, next) => {
    const host = context.req.header('host') ?? new URL(context.req.url).host;
    if (known.has(nameOfHost(host))) return next();
    return context.text(
      `This page answers only as ${[...known].join(', ')}; it was asked for as another name\n`,
      421,
    );
  };
}

function nameOfHost(host: string): string {
  return host.toLowerCase().replace(/:\d+$/, '');
}

/**
 * Refuses requests that change something unless they come from a page of this same origin: the
 * Origin header must name the host that was asked, or the browser must say so itself.
 */
export function onlySameOrigin(): MiddlewareHandler {
  return async (context, next) => {
    if (context.req.method === 'GET' || context.req.method === 'HEAD') return next();
    const host = context.req.header('host') ?? new URL(context.req.url).host;
    const origin = context.req.header('origin');
    const site = context.req.header('sec-fetch-site');
    const same = origin === undefined ? site === 'same-origin' : hostOfOrigin(origin) === host;
    if (same && (site === undefined || site === 'same-origin')) return next();
    return context.text('Refused: this request did not come from a page of this dashboard\n', 403);
  };
}

function hostOfOrigin(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}
