/** Blocks are handed over, never copied: the sender loses them, they come back, and no further one is ever made. */
import { afterEach, describe, expect, it, vi } from 'vitest';
import { BLOCK_BYTES, type BlockViews } from '../../worker/block.ts';
import { BlockPost } from '../../worker/block-post.ts';

const ROUNDS = 1000;

/** A post whose blocks go to a page that gives each of them back, as long as it does. */
function rig() {
  const post = new BlockPost();
  const { port1, port2 } = new MessageChannel();
  const page = { takes: 0, keeps: false };
  port1.onmessage = ({ data }: MessageEvent<ArrayBuffer>) => {
    page.takes++;
    if (!page.keeps) port1.postMessage(data, [data]);
  };
  let back = () => {};
  post.attach(port2 as unknown as MessagePort, () => back());
  return {
    post,
    page,
    cameBack: () =>
      new Promise<void>((done) => {
        back = done;
      }),
    end: () => port1.close(),
  };
}

afterEach(() => {
  vi.unstubAllGlobals();
});

describe('blocks between worker and page', () => {
  it('are gone from the worker once they are sent', async () => {
    const { post, cameBack, end } = rig();
    let views: BlockViews | undefined;
    const came = cameBack();
    post.send((block) => {
      views = block;
      expect(block.head.length).toBeGreaterThan(0);
    });
    expect(views?.head.length).toBe(0); // its memory is somewhere else now
    expect(views?.now.buffer.byteLength).toBe(0);
    await came;
    end();
  });

  it(`are the same three through ${ROUNDS} rounds: none is made`, async () => {
    const { post, page, cameBack, end } = rig();
    let made = 0;
    const Real = ArrayBuffer;
    vi.stubGlobal(
      'ArrayBuffer',
      class extends Real {
        constructor(length: number) {
          super(length);
          made++;
        }
      },
    );
    new ArrayBuffer(BLOCK_BYTES);
    expect(made).toBe(1); // the count does count
    for (let k = 0; k < ROUNDS; k++) {
      const came = cameBack();
      post.send(({ head }) => {
        head[0] = k;
      });
      expect(post.owed).toBe(false);
      await came;
    }
    expect(page.takes).toBe(ROUNDS);
    expect(made).toBe(1);
    end();
  });

  it('wait when a page gives none back, and go on when it does', async () => {
    const { post, page, end } = rig();
    page.keeps = true;
    for (let k = 0; k < 3; k++) post.send(() => {});
    expect(post.owed).toBe(false);
    let filled = false;
    post.send(() => {
      filled = true;
    });
    expect(post.owed).toBe(true);
    expect(filled).toBe(false);
    end();
  });
});
