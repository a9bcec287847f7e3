/** The width an element has, followed as it changes, so that drawings are made at their true size and never stretched. */
import { type RefObject, useLayoutEffect, useRef, useState } from 'react';

export const useSize = <E extends Element>(): [RefObject<E | null>, { width: number; height: number }] => {
  const ref = useRef<E>(null);
  const [size, setSize] = useState({ width: 0, height: 0 });
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const read = () => {
      const { width, height } = element.getBoundingClientRect();
      setSize((now) =>
        Math.abs(now.width - width) < 0.5 && Math.abs(now.height - height) < 0.5 ? now : { width, height },
      );
    };
    read();
    const observer = new ResizeObserver(read);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, size];
};
