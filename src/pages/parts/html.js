// What every part is written with: `html` (htm over preact), the hooks, and signals that redraw who reads them.
import { h, render } from "../vendor/preact.js";
import { useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState } from "../vendor/hooks.js";
import htm from "../vendor/htm.js";
import { computed, effect, signal } from "../vendor/signals.js";

/** @type {(strings: TemplateStringsArray, ...values: any[]) => any} */
export const html = htm.bind(h);
export { computed, effect, render, signal, useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState };

/**
 * The value of a signal; the part is drawn again when it changes.
 * @template T
 * @param {{ readonly value: T, peek(): T, subscribe(told: (value: T) => void): () => void }} source
 * @returns {T}
 */
export function useSignal(source) {
  const [, draw] = useState({});
  useLayoutEffect(() => {
    let first = true;
    return source.subscribe(() => {
      if (!first) draw({});
      first = false;
    });
  }, [source]);
  return source.peek();
}

/**
 * The moment, anew every so many milliseconds: for times since something.
 * @param {number} every
 */
export function useTick(every) {
  const [, draw] = useState({});
  useEffect(() => {
    const timer = setInterval(() => draw({}), every);
    return () => clearInterval(timer);
  }, [every]);
}
