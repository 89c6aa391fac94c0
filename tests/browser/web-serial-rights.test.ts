/**
 * Rights to serial ports in Chromium, with its own navigator.serial: outside a click, in a worker, and where the
 * Permissions-Policy of the page leaves serial out. A headless browser shows no list, which counts as choosing none.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { launchBrowser } from '../support/browser.ts';
import { script } from './web-serial-script.ts';

declare const rights: Promise<unknown>;
declare const rightsOfWorker: (address: string) => Promise<unknown>;
declare const askInClick: (button: HTMLElement) => Promise<string>;

describe('rights to serial ports in Chromium', () => {
  let browser: Browser;
  let server: Server;
  let address: string;
  beforeAll(async () => {
    const program = await script('web-serial-rights.ts');
    server = createServer(({ url }, response) => {
      const [type, body] = url?.endsWith('.js')
        ? ['text/javascript', program]
        : ['text/html', '<!doctype html><button>Choose</button><script src="program.js"></script>'];
      const policy = url?.startsWith('/without/') ? { 'permissions-policy': 'serial=()' } : {};
      response.writeHead(200, { 'content-type': type, ...policy }).end(body);
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    browser = await launchBrowser({ noGl: true });
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    server?.closeAllConnections();
    server?.close();
  });

  async function open(path: string): Promise<Page> {
    const page = await browser.newPage();
    await page.goto(`${address}${path}`);
    return page;
  }
  const click = async (page: Page): Promise<string> => {
    const answer = page.evaluate(() => askInClick(document.querySelector('button')!));
    await page.click('button');
    return answer;
  };

  it('a page may ask within a click and only there; a worker has no way to ask, and finds what was granted', async () => {
    const page = await open('/with/');
    expect(await page.evaluate(() => rights)).toMatchObject({
      hub: 'there',
      ask: expect.stringContaining('only within a click'),
      granted: 0,
    });
    expect(await click(page)).toBe('none chosen');
    expect(await page.evaluate(() => rightsOfWorker('program.js'))).toEqual({
      hub: 'there',
      ask: 'a port is chosen in the window, not in a worker',
      granted: 0,
    });
    await page.close();
  });

  it('a page whose policy leaves serial out may not, says which, and finds nothing granted, in a worker neither', async () => {
    const page = await open('/without/');
    expect(await click(page)).toContain('Permissions-Policy: serial');
    expect(await page.evaluate(() => rights)).toMatchObject({ granted: 0 });
    expect(await page.evaluate(() => rightsOfWorker('program.js'))).toMatchObject({ granted: 0 });
    await page.close();
  });
});
