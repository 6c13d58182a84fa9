import { h } from '../base/dom.js';

/** Tooltips: after 400 ms under the pointer, at once on focus; Esc takes them away. They hold nothing that stands nowhere else. */
export function mountTips() {
  const tip = h('div', { class: 'tip', role: 'tooltip', id: 'tip', hidden: true });
  (document.querySelector('main') ?? document.body).append(tip);
  /** @type {Element|null} */
  let at = null;
  let timer = 0;
  const hide = () => {
    clearTimeout(timer);
    at?.removeAttribute('aria-describedby');
    at = null;
    tip.hidden = true;
  };
  const put = (/** @type {Element} */ e) => {
    hide();
    const words = e.getAttribute('data-tip');
    if (!words) return;
    at = e;
    const key = e.getAttribute('data-key');
    tip.replaceChildren(words, ...(key ? [h('kbd', {}, key)] : []));
    tip.hidden = false;
    const input = e.querySelector('input');
    (input ?? e).setAttribute('aria-describedby', 'tip');
    at = input ?? e;
    const r = e.getBoundingClientRect(),
      t = tip.getBoundingClientRect();
    const below = r.bottom + 6 + t.height < innerHeight;
    tip.style.translate = `${Math.max(8, Math.min(r.left, innerWidth - t.width - 8))}px ${below ? r.bottom + 6 : r.top - t.height - 6}px`;
  };
  const owner = (/** @type {EventTarget|null} */ t) => (t instanceof Element ? t.closest('[data-tip]') : null);
  document.addEventListener('pointerover', (e) => {
    const o = owner(e.target);
    if (e.pointerType === 'touch' || (o && o === (at?.closest('[data-tip]') ?? null))) return;
    hide();
    if (o)
      timer = window.setTimeout(() => {
        if (o.isConnected) put(o);
      }, 400);
  });
  document.addEventListener('focusin', (e) => {
    const o = owner(e.target);
    if (o && e.target instanceof Element && e.target.matches(':focus-visible')) put(o);
    else hide();
  });
  document.addEventListener('focusout', hide);
  document.addEventListener('pointerdown', hide);
  document.addEventListener('scroll', hide, true);
  document.addEventListener(
    'keydown',
    (e) => {
      if (e.key === 'Escape' && !tip.hidden) {
        hide();
        e.stopPropagation();
      }
    },
    true,
  );
}
