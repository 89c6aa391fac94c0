/**
 * Keeps one build of the page in the browser, whole or not at all, and answers from it, so that the page opens without its server
 * and never mixes builds. The next build waits beside it until the page asks for it. Only files of the build are kept: no answer of a
 * bridge, nothing with a question or a token in its address.
 */
export {}; // a module: its names are its own

declare const self: ServiceWorkerGlobalScope;
/** Written in front of this program when the build is sealed: path of each file, '' for the page itself, and its SHA-256 in base64. */
declare const BUILD: { readonly id: string; readonly files: Readonly<Record<string, string>> };

/** Of this page alone: other programs may be served from the same origin. */
const OURS = `phantom-spindle ${self.registration.scope} `;
const NAME = OURS + BUILD.id;
/** Names in here hold a hash of what is in the file: whichever build kept it, it is the right one. */
const HASHED = 'assets/';
/** This build and the one before, whose page may still be open in another tab. */
const BUILDS_KEPT = 2;

const addressOf = (path: string): string => new URL(path, self.registration.scope).href;

/**
 * All files, each with the content that the build gave it; rejects, and leaves nothing, when one is missing or another. One after
 * the other: all at once took the processors from a drill that works meanwhile.
 */
async function fill(): Promise<void> {
  const cache = await caches.open(NAME);
  try {
    for (const [path, sha256] of Object.entries(BUILD.files)) {
      const asked = new Request(addressOf(path), {
        cache: 'no-cache',
        credentials: 'same-origin',
        integrity: `sha256-${sha256}`,
        redirect: 'error',
      });
      const answer = await fetch(asked);
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      await cache.put(addressOf(path), answer);
    }
  } catch (error) {
    await caches.delete(NAME);
    throw error;
  }
}

/** Lets go of builds that no page can still stand on, and answers pages that were opened before it stood here. */
async function takeOver(): Promise<void> {
  const ours = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== NAME); // oldest first
  await Promise.all(ours.slice(0, Math.max(0, ours.length + 1 - BUILDS_KEPT)).map((name) => caches.delete(name)));
  await self.clients.claim();
}

/** The path of the file that a request means, undefined for everything that is not of a build. */
function pathOf({ method, url, headers }: Request): string | undefined {
  const { href, search, hash } = new URL(url);
  const scope = self.registration.scope;
  if (method !== 'GET' || !href.startsWith(scope) || search !== '' || headers.has('authorization')) return undefined;
  if (hash.startsWith('#bridge=')) return undefined; // the bridge gives its own page
  const path = decodeURI(href.slice(scope.length, href.length - hash.length)).replace(/^index\.html$/, '');
  return Object.hasOwn(BUILD.files, path) || path.startsWith(HASHED) ? path : undefined;
}

async function answer(request: Request, path: string): Promise<Response> {
  const address = addressOf(path);
  const own = await (await caches.open(NAME)).match(address);
  if (own) return own;
  if (path.startsWith(HASHED))
    for (const name of await caches.keys()) {
      const kept = name.startsWith(OURS) && (await (await caches.open(name)).match(address));
      if (kept) return kept;
    }
  return fetch(request);
}

self.addEventListener('install', (event) => event.waitUntil(fill()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('message', ({ data }) => {
  if (data === 'take over') void self.skipWaiting();
});
self.addEventListener('fetch', (event) => {
  const path = pathOf(event.request);
  if (path !== undefined) event.respondWith(answer(event.request, path));
});
