/** Serves the built page on the loopback interface: files below one folder, nothing else, to this machine only. */
import { createReadStream, existsSync } from 'node:fs';
import { realpath, stat } from 'node:fs/promises';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { extname, resolve, sep } from 'node:path';
import { SetUpError } from '../links/errors.ts';

export const DEFAULT_PORT = 4818;
const HOST = '127.0.0.1';

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.mjs': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
  '.yaml': 'text/yaml; charset=utf-8',
  '.txt': 'text/plain; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.wasm': 'application/wasm',
  '.woff2': 'font/woff2',
};

/**
 * Only what the page brings along runs. Styles may stand in attributes, because components size themselves so;
 * a board's bridge on this machine may be reached. Isolation gives the worker a fine clock.
 */
const HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy': [
    "default-src 'self'",
    "script-src 'self' 'wasm-unsafe-eval'",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data:",
    "worker-src 'self'",
    "manifest-src 'self'",
    "connect-src 'self' ws://127.0.0.1:* ws://localhost:*",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; '),
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cache-Control': 'no-cache',
};

/** Why a request is not answered; undefined when it is. */
export type Admit = (request: IncomingMessage) => string | undefined;

/**
 * Starts the server and resolves when it listens. Rejects with SetUpError when the page is not built, or when the
 * port is taken or not allowed: which one, and how to choose another.
 *
 * @param port 0 to 65535; 0 takes any free one
 * @param admit whom to answer; everybody when left out
 */
export async function serve(folder: string, port: number, admit?: Admit): Promise<{ server: Server; address: string }> {
  if (!existsSync(resolve(folder, 'index.html'))) {
    throw new SetUpError(`no page in ${folder}: index.html is missing; 'npm run build' makes it`);
  }
  const root = await realpath(folder);
  const server = createServer((request, response) => {
    const no = admit?.(request);
    if (no !== undefined) return refuse(response, 403, no);
    answer(root, request, response).catch((error: Error) => refuse(response, 500, error.message));
  });
  await new Promise<void>((listening, failed) => {
    server.once('error', (error: NodeJS.ErrnoException) => failed(new SetUpError(refusal(error, port))));
    server.listen(port, HOST, listening);
  });
  const bound = server.address();
  const at = typeof bound === 'object' && bound !== null ? bound.port : port;
  return { server, address: `http://${HOST}:${at}/` };
}

function refusal(error: NodeJS.ErrnoException, port: number): string {
  const other = port < 65535 ? port + 1 : port - 1;
  const choose = `choose another with --port, such as 'npm start -- --port ${other}'`;
  if (error.code === 'EADDRINUSE') return `port ${port} on ${HOST} is taken by another program; ${choose}`;
  if (error.code === 'EACCES') return `port ${port} on ${HOST} is not allowed to this user; ${choose}`;
  return `cannot listen on ${HOST}:${port}: ${error.message}; ${choose}`;
}

async function answer(root: string, request: IncomingMessage, response: ServerResponse): Promise<void> {
  if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(response, 405, 'only GET and HEAD');
  const file = await fileOf(root, request.url ?? '/');
  if (file === undefined) return refuse(response, 404, 'no such file');
  const { size } = await stat(file);
  const type = TYPES[extname(file).toLowerCase()] ?? 'application/octet-stream';
  response.writeHead(200, { ...HEADERS, 'Content-Type': type, 'Content-Length': size });
  if (request.method === 'HEAD') {
    response.end();
    return;
  }
  const stream = createReadStream(file);
  stream.on('error', () => response.destroy());
  stream.pipe(response);
}

/** The file that a request means, undefined when there is none below the root, links followed. */
async function fileOf(root: string, url: string): Promise<string | undefined> {
  try {
    const path = decodeURIComponent(url.split(/[?#]/, 1)[0]);
    if (path.includes('\0')) return undefined;
    const wanted = resolve(root, `.${path.endsWith('/') ? `${path}index.html` : path}`);
    const file = await realpath(wanted);
    return file.startsWith(root + sep) && (await stat(file)).isFile() ? file : undefined;
  } catch {
    return undefined; // not decodable, not there, not readable: to the asker all the same
  }
}

function refuse(response: ServerResponse, status: number, text: string): void {
  if (response.headersSent) {
    response.destroy();
    return;
  }
  response.writeHead(status, { ...HEADERS, 'Content-Type': 'text/plain; charset=utf-8' });
  response.end(`${text}\n`);
}
