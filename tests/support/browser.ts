/**
 * Starts a headless Chromium on any machine that has Node: the system's own if there is one, else the one that
 * the npm package @sparticuz/chromium carries. That one lacks shared libraries on a bare system; it brings its own
 * and unpacks them only when it believes to run in a Lambda of that generation.
 */
import { existsSync, mkdirSync, rmSync, statSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { extname, join, normalize, sep } from 'node:path';
import { type Browser, type BrowserContext, chromium, type LaunchOptions } from 'playwright-core';

const SYSTEM_BROWSERS = ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome'];

const FLAGS = [
  '--no-sandbox',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-background-networking',
  '--no-first-run',
  '--disable-component-update',
  '--disable-sync',
];

export interface BrowserOptions {
  /** Switches WebGL off, to see the page draw without it. */ readonly noGl?: boolean;
  /** Folder for what the browser stores: without one it stores in memory, where files of a page have no quota. */
  readonly profile?: string;
}

/** Launches a browser; close it with `browser.close()`. Throws if neither a system nor a packaged browser starts. */
export async function launchBrowser(options: BrowserOptions = {}): Promise<Browser> {
  return chromium.launch(await startOf(options));
}

/** The same with one person's folder, in which all pages that are opened with it share what they store. */
export async function launchProfile(profile: string, options: BrowserOptions = {}): Promise<BrowserContext> {
  return chromium.launchPersistentContext(profile, await startOf(options));
}

async function startOf({ noGl = false }: BrowserOptions): Promise<LaunchOptions> {
  const found = await locateBrowser();
  const args = noGl
    ? [...FLAGS.filter((f) => !f.includes('swiftshader')), '--disable-gpu', '--disable-3d-apis']
    : FLAGS;
  return { executablePath: found.path, args, env: found.env, headless: true };
}

interface Found {
  readonly path: string;
  readonly env: Record<string, string>;
}

let located: Promise<Found> | undefined;

/** The environment of this process, for a child. */
function environment(): Record<string, string> {
  return Object.fromEntries(Object.entries(process.env).filter((e): e is [string, string] => e[1] !== undefined));
}

/** Looks on PATH first; unpacks the packaged browser once per process otherwise. */
function locateBrowser(): Promise<Found> {
  located ??= (async () => {
    for (const folder of (process.env.PATH ?? '').split(':')) {
      for (const name of SYSTEM_BROWSERS) {
        const path = join(folder, name);
        if (folder && existsSync(path)) return { path, env: environment() };
      }
    }
    // Read by the package when it is imported, so it must be set before.
    process.env.AWS_LAMBDA_JS_RUNTIME = 'nodejs22.x';
    const { default: packaged } = await import('@sparticuz/chromium');
    const path = await alone(() => packaged.executablePath());
    const libraries = [join(tmpdir(), 'al2023', 'lib'), process.env.LD_LIBRARY_PATH].filter(Boolean).join(':');
    // A system without any font configuration crashes every page; the package unpacks one of its own.
    const fonts = process.env.FONTCONFIG_PATH ?? join(tmpdir(), 'fonts');
    return { path, env: { ...environment(), LD_LIBRARY_PATH: libraries, FONTCONFIG_PATH: fonts } };
  })();
  return located;
}

/** A lock older than this was left by a process that died [ms]. */
const STALE_MS = 120_000;

/** Unpacks in one process at a time: a second one would start a browser that is still being written. */
async function alone<T>(work: () => Promise<T>): Promise<T> {
  const lock = join(tmpdir(), 'phantom-spindle-browser.lock');
  for (;;) {
    try {
      mkdirSync(lock);
      break;
    } catch {
      const since_ms = statSync(lock, { throwIfNoEntry: false })?.mtimeMs ?? Date.now();
      if (Date.now() - since_ms > STALE_MS) rmSync(lock, { recursive: true, force: true });
      await new Promise((done) => setTimeout(done, 100));
    }
  }
  try {
    return await work();
  } finally {
    rmSync(lock, { recursive: true, force: true });
  }
}

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.json': 'application/json',
};

export interface Served {
  /** Address of the page, with a trailing slash. */ readonly url: string;
  close(): Promise<void>;
}

/** Serves a folder on 127.0.0.1 at a free port. */
export async function serveFolder(folder: string): Promise<Served> {
  const server: Server = createServer((request, response) => {
    const asked = normalize(decodeURIComponent(new URL(request.url ?? '/', 'http://x').pathname));
    const path = join(folder, asked.endsWith(sep) ? `${asked}index.html` : asked);
    readFile(path).then(
      (body) =>
        response.writeHead(200, { 'content-type': TYPES[extname(path)] ?? 'application/octet-stream' }).end(body),
      () => response.writeHead(404).end(),
    );
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}/`,
    close: () =>
      new Promise((done) => {
        server.closeAllConnections();
        server.close(() => done());
      }),
  };
}
