import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import type { AddressInfo } from 'node:net';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { serve } from '../../src/cli/node-serve.ts';
import { folder, sim } from './sim.ts';

const dir = folder();
const page = join(dir, 'dist');
mkdirSync(join(page, 'assets'), { recursive: true });
writeFileSync(join(page, 'index.html'), '<!doctype html><title>slats</title>');
writeFileSync(join(page, 'assets', 'plant.js'), 'export {};');
writeFileSync(join(page, 'a b.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
writeFileSync(join(dir, 'secret.txt'), 'pine');
symlinkSync(join(dir, 'secret.txt'), join(page, 'link.txt'));

const running = serve(page, 0);
afterAll(async () => (await running).server.close());

/** A request with the path exactly as given: fetch would tidy it up first. */
async function ask(path: string, method = 'GET'): Promise<{ status: number; type: string; csp: string; body: string }> {
  const { port } = (await running).server.address() as AddressInfo;
  return new Promise((answered, failed) => {
    const sent = request({ host: '127.0.0.1', port, path, method }, (response) => {
      let body = '';
      response.on('data', (chunk) => {
        body += chunk;
      });
      const { 'content-type': type = '', 'content-security-policy': csp = '' } = response.headers;
      response.on('end', () => answered({ status: response.statusCode ?? 0, type, csp: String(csp), body }));
    });
    sent.once('error', failed);
    sent.end();
  });
}

describe('serve', () => {
  it('serves the page on loopback with types that a browser accepts', async () => {
    expect((await running).address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);
    expect(await ask('/')).toMatchObject({ status: 200, type: 'text/html; charset=utf-8' });
    expect(await ask('/assets/plant.js?v=2')).toMatchObject({ status: 200, type: 'text/javascript; charset=utf-8' });
    expect(await ask('/a%20b.svg')).toMatchObject({ status: 200, type: 'image/svg+xml' });
    expect((await ask('/')).body).toContain('slats');
  });

  it('answers HEAD without a body and refuses other methods', async () => {
    expect(await ask('/', 'HEAD')).toMatchObject({ status: 200, body: '' });
    expect((await ask('/', 'POST')).status).toBe(405);
  });

  it.each([
    '/../secret.txt',
    '/%2e%2e/secret.txt',
    '/assets/..%2f..%2fsecret.txt',
    '/..%5csecret.txt',
    '/link.txt',
    '/%00',
    '/%zz',
    '/assets',
    '/assets/',
    '/none.js',
  ])('gives nothing away for %s', async (path) => {
    const { status, body } = await ask(path);
    expect(status).toBe(404);
    expect(body).not.toContain('pine');
  });

  it('lets nothing run that the page did not bring along', async () => {
    const { csp } = await ask('/');
    expect(csp).toContain("default-src 'self'");
    expect(csp).not.toMatch(/script-src[^;]*'unsafe-(inline|eval)'/);
  });

  it('says which port is taken and how to choose another', async () => {
    const { port } = (await running).server.address() as AddressInfo;
    await expect(serve(page, port)).rejects.toThrow(
      `port ${port} on 127.0.0.1 is taken by another program; choose another with --port, such as 'npm start -- --port ${port + 1}'`,
    );
  });

  it('says that the page is not built', async () => {
    await expect(serve(join(dir, 'none'), 0)).rejects.toThrow("index.html is missing; 'npm run build' makes it");
  });

  it('ends with 2 on a port that cannot be', async () => {
    const run = await sim('serve', '--port', '70000');
    expect(run.code).toBe(2);
    expect(run.err).toContain('--port 70000: allowed is a whole number from 0 to 65535');
  });

  it('ends with 2 as a command when its port is taken', async () => {
    const other = createServer();
    await new Promise<void>((ready) => other.listen(0, '127.0.0.1', ready));
    const { port } = other.address() as AddressInfo;
    const run = await sim('serve', '--port', String(port), '--folder', page);
    other.close();
    expect(run.code).toBe(2);
    expect(run.err).toContain(`port ${port} on 127.0.0.1 is taken by another program; choose another with --port`);
  });
});
