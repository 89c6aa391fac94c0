/** The same waves through a graphics card, here one that is imitated in software, and what follows when it goes away. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { OpenPage } from '../support/page.ts';

describe('page with a graphics card', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ hash: '#card' });
  });
  afterAll(async () => {
    await open?.close();
  });

  /** Pixels of the waves of Record that are drawn on through the card; -1 where there is no context, or more than one. */
  const inked = () =>
    open.page.evaluate(() => {
      const record = document.querySelector('spindle-page')?.shadowRoot?.querySelector('record-view');
      const canvases = [...(record?.shadowRoot?.querySelectorAll<HTMLCanvasElement>('.waves canvas') ?? [])];
      const gl = canvases[0]?.getContext('webgl');
      if (canvases.length !== 1 || !gl || !record) return -1;
      // Painted and read in one task: afterwards the browser may drop the picture.
      (record as unknown as { paint(now_ms: number): void }).paint(performance.now());
      const { drawingBufferWidth: width, drawingBufferHeight: height } = gl;
      const pixels = new Uint8Array(width * height * 4);
      gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, pixels);
      let count = 0;
      for (let k = 3; k < pixels.length; k += 4) if (pixels[k] > 128) count++;
      return count;
    });

  it('draws through one context', async () => {
    await open.until('time', (t_s) => t_s > 0.5);
    // Six rows, each with a stroke of one pixel at least over half of the close-up alone (342 px).
    await expect.poll(inked, { timeout: 15_000 }).toBeGreaterThan(6 * 170);
  });

  it('lends the context to the waves, which draw on without it when it is taken away, and with it when it is given back', async () => {
    await open.page.getByRole('button', { name: 'Waves', exact: true }).click();
    const waves = await open.page.locator('wave-bench').elementHandle();
    if (!waves) throw new Error('no waves');
    const drawn = () =>
      waves.evaluate((element) => {
        const { paper } = element as unknown as { paper?: { spent: number; pen?: { kind: string } } };
        return { spent: paper?.spent ?? 0, kind: paper?.pen?.kind };
      });
    await expect.poll(async () => (await drawn()).kind).toBe('gl');
    await expect.poll(async () => (await drawn()).spent).toBeGreaterThan(2);
    const contexts = await open.page.evaluate(() => {
      const all = (root: Document | ShadowRoot): HTMLCanvasElement[] =>
        [...root.querySelectorAll('*')].flatMap((element) =>
          element instanceof HTMLCanvasElement ? [element] : element.shadowRoot ? all(element.shadowRoot) : [],
        );
      // A canvas that gives no 2D context has another one.
      return all(document).filter((canvas) => canvas.getContext('2d') === null).length;
    });
    expect(contexts).toBe(1);
    const held = await waves.evaluateHandle((element) => {
      const gl = element.shadowRoot?.querySelector<HTMLCanvasElement>('.middle canvas')?.getContext('webgl');
      const extension = gl?.getExtension('WEBGL_lose_context');
      extension?.loseContext();
      return extension;
    });
    await expect.poll(async () => (await drawn()).kind).toBe('flat');
    const { spent } = await drawn();
    await expect.poll(async () => (await drawn()).spent).toBeGreaterThan(spent);
    await held.evaluate((extension) => extension?.restoreContext());
    await expect.poll(async () => (await drawn()).kind).toBe('gl');
    await open.page.getByRole('button', { name: 'Waves', exact: true }).click();
    await expect.poll(() => open.page.locator('wave-bench').count()).toBe(0);
  });

  it('gives its context back each time that the waves are opened and closed, and never has two at once', async () => {
    await open.page.setViewportSize({ width: 700, height: 500 }); // imitated cards pay by the pixel
    const counts = await open.page.evaluate(async () => {
      const made: WebGLRenderingContext[] = [];
      const get = HTMLCanvasElement.prototype.getContext;
      HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, more?: object) {
        const context = get.call(this, kind as '2d', more);
        const gl = context as unknown as WebGLRenderingContext | null;
        if (kind === 'webgl' && gl && !made.includes(gl)) made.push(gl);
        return context;
      } as typeof get;
      const host = document.querySelector('spindle-page')?.shadowRoot;
      const record = host?.querySelector('record-view')?.shadowRoot?.querySelector<HTMLCanvasElement>('.waves canvas');
      const before = record?.getContext('webgl');
      const button = [...(host?.querySelector('head-bar')?.shadowRoot?.querySelectorAll('button') ?? [])].find(
        ({ textContent }) => textContent?.trim() === 'Waves',
      );
      let most = 0;
      const until = async (open: boolean) => {
        const drawn = () => host?.querySelector('wave-bench')?.shadowRoot?.querySelector('.middle canvas') != null;
        const rested = () => host?.querySelector('wave-bench') == null;
        while (open ? !drawn() : !rested()) await new Promise((done) => setTimeout(done, 5));
        most = Math.max(most, made.filter((gl) => !gl.isContextLost()).length);
      };
      for (let k = 0; k < 9; k++) {
        button?.click();
        await until(true);
        button?.click();
        await until(false);
      }
      HTMLCanvasElement.prototype.getContext = get;
      return {
        made: made.length,
        most,
        alive: made.filter((gl) => !gl.isContextLost()).length,
        first: before?.isContextLost(),
      };
    });
    console.log(`contexts through nine openings: ${JSON.stringify(counts)}`);
    expect(counts.made).toBeGreaterThan(16); // more than a browser keeps
    expect(counts.most).toBe(1);
    expect(counts.alive).toBe(1);
    expect(counts.first).toBe(true);
    await open.page.setViewportSize({ width: 1366, height: 768 });
    expect(open.problems).toEqual([]); // a browser warns where there are too many
  });

  it('comes back to the card in the record, too, with what it has to draw', async () => {
    const record = await open.page.evaluateHandle(() =>
      document.querySelector('spindle-page')?.shadowRoot?.querySelector('record-view'),
    );
    const kind = () => record.evaluate((view) => (view as unknown as { pen?: { kind: string } }).pen?.kind);
    await expect.poll(kind, { timeout: 20_000 }).toBe('gl');
    const held = await record.evaluateHandle((view) => {
      const gl = view?.shadowRoot?.querySelector<HTMLCanvasElement>('.waves canvas')?.getContext('webgl');
      const extension = gl?.getExtension('WEBGL_lose_context');
      extension?.loseContext();
      return extension;
    });
    await expect.poll(kind, { timeout: 20_000 }).toBe('flat');
    await held.evaluate((extension) => extension?.restoreContext());
    await expect.poll(kind, { timeout: 20_000 }).toBe('gl');
    // As much as at the beginning: programs and buffers were made anew.
    await expect.poll(inked, { timeout: 20_000 }).toBeGreaterThan(6 * 170);
  });

  it('goes on without it when the card takes the context away for good', async () => {
    await open.page.evaluate(() => {
      const record = document.querySelector('spindle-page')?.shadowRoot?.querySelector('record-view');
      const canvas = record?.shadowRoot?.querySelector<HTMLCanvasElement>('.waves canvas');
      canvas?.getContext('webgl')?.getExtension('WEBGL_lose_context')?.loseContext();
    });
    await open.shows(/Drawing without the graphics card/);
    // Nothing gives it back, and the waves are there all the same.
    await expect.poll(() => open.inked(), { timeout: 20_000 }).toBeGreaterThan(6 * 170);
    expect(open.problems).toEqual([]);
  });
});
