/**
 * The edge of a sheet as a slider: dragged, tapped, stepped by keys, or typed at. What it draws is its child; this is
 * only how it is moved.
 */
import { type KeyboardEvent, type PointerEvent, type ReactNode, type Ref, useRef, useState } from 'react';
import type { Scale } from '../charts/scale.ts';

interface EdgeSliderProps {
  readonly label: string;
  readonly value: number;
  readonly lowest: number;
  readonly highest: number;
  /** One graduation: what an arrow key moves. Shift moves ten. */
  readonly graduation: number;
  readonly valueText: string;
  readonly scale: Scale;
  readonly move: (value: number) => void;
  /** Between what is typed and what is moved, for scales that read in a chosen unit. */
  readonly fromTyped?: (typed: number) => number;
  readonly typedUnit: string;
  readonly className?: string;
  readonly vertical?: boolean;
  readonly ref?: Ref<HTMLDivElement>;
  readonly children: ReactNode;
}

export const EdgeSlider = (props: EdgeSliderProps) => {
  const { value, lowest, highest, graduation, scale, move } = props;
  const [typed, setTyped] = useState<string | null>(null);
  const dragging = useRef(false);
  const slider = useRef<HTMLDivElement | null>(null);
  const frame = useRef(0);

  const follow = (event: PointerEvent<HTMLDivElement>) => {
    const box = event.currentTarget.getBoundingClientRect();
    const place = props.vertical ? event.clientY - box.top : event.clientX - box.left;
    cancelAnimationFrame(frame.current);
    frame.current = requestAnimationFrame(() => move(scale.valueAt(place)));
  };
  const step = (event: KeyboardEvent) => {
    const by = graduation * (event.shiftKey ? 10 : 1);
    const held = (to: number) => move(Math.min(highest, Math.max(lowest, to)));
    const toGraduation = (to: number) => Math.round(to / graduation) * graduation;
    switch (event.key) {
      case 'ArrowLeft':
      case 'ArrowDown':
        held(toGraduation(value - by));
        break;
      case 'ArrowRight':
      case 'ArrowUp':
        held(toGraduation(value + by));
        break;
      case 'PageUp':
        held(toGraduation(value + 10 * graduation));
        break;
      case 'PageDown':
        held(toGraduation(value - 10 * graduation));
        break;
      case 'Home':
        move(lowest);
        break;
      case 'End':
        move(highest);
        break;
      default:
        if (/^[0-9]$/.test(event.key) && !event.altKey && !event.ctrlKey && !event.metaKey) setTyped(event.key);
        else return;
    }
    event.preventDefault();
    event.stopPropagation();
  };
  const settle = () => {
    const figure = Number((typed ?? '').replace(',', '.'));
    if (typed !== null && typed.trim() !== '' && Number.isFinite(figure)) {
      move(Math.min(highest, Math.max(lowest, props.fromTyped ? props.fromTyped(figure) : figure)));
    }
    setTyped(null);
    slider.current?.focus();
  };

  return (
    <div className={`edge-slider ${props.className ?? ''}`}>
      <div
        ref={(element) => {
          slider.current = element;
          const { ref } = props;
          if (typeof ref === 'function') ref(element);
          else if (ref) ref.current = element;
        }}
        className="edge-hold"
        role="slider"
        tabIndex={0}
        aria-label={props.label}
        aria-valuemin={Math.round(lowest * 100) / 100}
        aria-valuemax={Math.round(highest * 100) / 100}
        aria-valuenow={Math.round(value * 100) / 100}
        aria-valuetext={props.valueText}
        aria-orientation={props.vertical ? 'vertical' : 'horizontal'}
        onKeyDown={step}
        onPointerDown={(event) => {
          if (event.button !== 0) return;
          dragging.current = true;
          event.currentTarget.setPointerCapture(event.pointerId);
          event.currentTarget.focus({ preventScroll: true });
          follow(event);
        }}
        onPointerMove={(event) => {
          if (dragging.current) follow(event);
        }}
        onPointerUp={() => {
          dragging.current = false;
        }}
        onPointerCancel={() => {
          dragging.current = false;
        }}
        onDoubleClick={() => setTyped('')}
      >
        {props.children}
      </div>
      {typed !== null && (
        <label className="edge-typed" style={props.vertical ? {} : { left: scale.at(value) }}>
          <span className="vh">
            {props.label}, {props.typedUnit}
          </span>
          <input
            // The field appears because a figure was begun: it has to take the next key.
            ref={(element) => {
              if (element && document.activeElement !== element) {
                element.focus();
                element.setSelectionRange(element.value.length, element.value.length);
              }
            }}
            value={typed}
            inputMode="decimal"
            size={6}
            onChange={(event) => setTyped(event.target.value)}
            onBlur={settle}
            onKeyDown={(event) => {
              if (event.key === 'Enter') settle();
              if (event.key === 'Escape') {
                setTyped(null);
                slider.current?.focus();
              }
              event.stopPropagation();
            }}
          />
          <span className="u">{props.typedUnit}</span>
        </label>
      )}
    </div>
  );
};
