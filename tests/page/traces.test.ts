/** A page of runs in a real browser. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect } from 'vitest';
import { barriers, drawn, inBrowser, pages } from './browser.js';
import { root } from './scenarios.js';

const { make, open, folder } = pages();
const scenario = (name: string): string => join(root, 'scenarios', name);

describe('a page of runs', () => {
  inBrowser('runs every drill again in the browser to the same bits as Node, asks the network for nothing and logs nothing', async () => {
    const path = await make(scenario('solenoid.yaml'), scenario('gains.yaml'), scenario('stepper.yaml'), scenario('studies/free-rev-early.yaml'), scenario('regression.yaml'), scenario('studies/spark-rate-rough.yaml'));
    const { page, wrong } = await open(path);
    await drawn(page);
    const runs = await page.locator('input[name=drawn]').count();
    expect(runs).toBe(8);
    const bits: string[] = [];
    for (let i = 0; i < runs; i++) {
      await page.locator('input[name=drawn]').nth(i).check();
      await page.waitForFunction((last) => ![null, '', last].includes(document.querySelector('.bits')!.textContent), bits.at(-1) ?? '');
      bits.push((await page.locator('.bits').textContent())!);
    }
    for (const text of bits) expect(text).toMatch(/the same bits as on the command line \([0-9a-f]{16}\)/);
    expect(new Set(bits).size).toBe(runs);
    expect(wrong).toEqual([]);
  });

  inBrowser('says so when the bits are not the same', async () => {
    const path = await make(scenario('solenoid.yaml'));
    const { page } = await open(path, { before: () => {
      const { sqrt } = Math;
      const parse = JSON.parse;
      JSON.parse = (text: string) => {
        const payload = parse(text);
        payload.runs[0].bits = `0000${sqrt(4)}00000000000`;
        return payload;
      };
    } });
    await page.waitForFunction(() => document.querySelector('.bits')?.textContent !== '' && document.querySelector('.bits') !== null);
    expect(await page.locator('.bits').textContent()).toMatch(/NOT the same bits/);
  });

  inBrowser('holds a hostile title, drill and event as plain text', async () => {
    const hostile = '</script><img src=x onerror=alert(1)></script /></title><b>\u2028<!--<svg onload=alert(2)>&"\'';
    const file = join(folder(), 'hostile.yaml');
    const text = JSON.stringify(hostile);
    writeFileSync(file, `title: ${text}\ncontroller: {loads: [{name: ${text}}]}\ndrill: {name: ${text}, events: [{do: load, at: 1 s, name: ${text}, torque: 5 N m}]}\nrun: {duration: 3 s}\n`);
    const { page, wrong } = await open(await make(file));
    await drawn(page);
    expect(await page.locator('img, svg, iframe').count()).toBe(0);
    expect(await page.locator('h1').textContent()).toContain('</script><img src=x onerror=alert(1)>');
    expect(await page.locator('.pins').textContent()).toContain('onerror');
    await page.getByRole('button', { name: 'copy as scenario' }).click();
    expect(wrong).toEqual([]);
    // the policy itself, and not the escaping alone, keeps a script out
    await page.evaluate(() => {
      const script = document.createElement('script');
      script.textContent = 'document.title = "broken in"';
      document.body.append(script);
    });
    expect(await page.title()).not.toBe('broken in');
    expect(wrong.join()).toMatch(/Content Security Policy/);
  });

  inBrowser('has no barrier that axe knows, light or dark, wide or narrow', async () => {
    const path = await make(scenario('studies/free-rev-early.yaml'), scenario('solenoid.yaml'), '--sheet');
    for (const [width, scheme] of [[1280, 'light'], [360, 'dark']] as const) {
      const { page } = await open(path, { width, scheme });
      await drawn(page);
      await page.waitForSelector('.live-margins table');
      expect(await barriers(page)).toEqual([]);
      await page.context().close();
    }
  });

  inBrowser('fits from 360 to 2560 without scrolling sideways, and its charts fill the width', async () => {
    const { page } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    for (const width of [360, 768, 1280, 2560]) {
      await page.setViewportSize({ width, height: 900 });
      await page.waitForFunction((wanted) => {
        const strips = document.querySelector('#strips .strips')!;
        return document.documentElement.clientWidth === wanted && Math.abs((strips.querySelector('.uplot') as HTMLElement).offsetWidth - strips.clientWidth) <= 1;
      }, width);
      expect(await page.evaluate(() => document.documentElement.scrollWidth), `${width}`).toBe(width);
    }
  });

  inBrowser('is read by keys alone: cursor, zoom, events, runs', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml'), scenario('studies/free-rev-early.yaml')));
    await drawn(page);
    const caption = page.locator('.readout caption');
    expect(await caption.textContent()).toMatch(/^At the end, 15/);
    await page.locator('#strips .strips').focus();
    await page.keyboard.press('ArrowRight');
    const first = await caption.textContent();
    expect(first).toMatch(/^At the cursor, 7/);
    await page.keyboard.press('Shift+ArrowRight');
    expect(await caption.textContent()).not.toBe(first);
    await page.keyboard.press('+');
    await page.keyboard.press('PageUp');
    await page.keyboard.press('0');
    await page.keyboard.press('Home');
    expect(await caption.textContent()).toMatch(/^At the cursor, 0.00/);
    await page.keyboard.press('Escape');
    expect(await caption.textContent()).toMatch(/^At the end/);
    await page.locator('.pins button').first().focus();
    await page.keyboard.press('Enter');
    expect(await caption.textContent()).toMatch(/^At the cursor, 2.00/);
    await page.locator('input[name=drawn]').first().focus();
    await page.keyboard.press('ArrowDown');
    await page.waitForFunction(() => document.querySelector('.pins')!.textContent!.includes('free-rev'));
    expect(wrong).toEqual([]);
  });

  inBrowser('answers pointer and touch: a cursor, a zoom by dragging, another run laid over', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml'), scenario('gains.yaml')), { touch: true });
    await drawn(page);
    const over = page.locator('#strips .u-over').first();
    await over.scrollIntoViewIfNeeded();
    const box = (await over.boundingBox())!;
    await page.touchscreen.tap(box.x + box.width / 2, box.y + 40);
    await page.waitForFunction(() => document.querySelector('.readout caption')!.textContent!.startsWith('At the cursor'));
    const labels = (): Promise<number> => page.evaluate(() => [...document.querySelectorAll('#strips canvas')].length);
    expect(await labels()).toBeGreaterThan(3);
    const pixels = (): Promise<string> => page.evaluate(() => (document.querySelector('#strips canvas') as HTMLCanvasElement).toDataURL());
    const whole = await pixels();
    await page.mouse.move(box.x + 0.2 * box.width, box.y + 50);
    await page.mouse.down();
    await page.mouse.move(box.x + 0.4 * box.width, box.y + 50, { steps: 4 });
    await page.mouse.up();
    await page.waitForFunction((before) => (document.querySelector('#strips canvas') as HTMLCanvasElement).toDataURL() !== before, whole);
    await page.getByRole('button', { name: 'all', exact: true }).click();
    await page.locator('input[name=over]').nth(1).check();
    await page.waitForFunction(() => document.querySelectorAll('.readout tr:first-child td').length >= 3);
    expect(wrong).toEqual([]);
  });

  inBrowser('prints light, with traces and tables and without the bench', async () => {
    const { page } = await open(await make(scenario('solenoid.yaml')), { scheme: 'dark' });
    await drawn(page);
    const pdf = await page.pdf({ format: 'A4' });
    expect(pdf.length).toBeGreaterThan(20_000);
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('#bench').isVisible()).toBe(false);
    expect(await page.locator('#events table').first().isVisible()).toBe(true);
  });

  inBrowser('without workers draws all the same and says what is missing', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')), { before: () => Reflect.deleteProperty(globalThis, 'Worker') });
    await drawn(page);
    expect(await page.locator('#notice').textContent()).toMatch(/live bench needs a web worker, and this browser starts no web workers/);
    expect(await page.locator('.bits').textContent()).toMatch(/the same bits/);
    expect(wrong).toEqual([]);
  });

  inBrowser('of a scenario that stalls at once is a page too', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml'), '--set', 'drill.start.speed=100 rpm'));
    await drawn(page);
    expect(await page.locator('.runs').textContent()).toMatch(/stalls/);
    await page.waitForFunction(() => /stalled/.test(document.querySelector('#console .state')?.textContent ?? ''));
    expect(wrong).toEqual([]);
  });
});
