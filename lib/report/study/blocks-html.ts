/** Blocks of a report as HTML: headings, paragraphs, lists, tables with row and column heads, figures as the SVG they are. Words are escaped. */

import { escapeText } from '#lib/report/markup.ts';
import type { Block, Cell, Figure, Words } from '#lib/report/pdf/blocks.ts';
import { runsOf } from '#lib/report/pdf/wrap-runs.ts';

export const blocksHtml = (blocks: readonly Block[]): string => blocks.map(blockHtml).join('\n');

function blockHtml(block: Block): string {
  switch (block.kind) {
    case 'heading':
      return `<h${block.level}>${escapeText(block.text)}</h${block.level}>`;
    case 'paragraph':
      return `<p${classOf(block.look)}>${wordsHtml(block.words)}</p>`;
    case 'list': {
      const tag = block.numbered ? 'ol' : 'ul';
      return `<${tag}${classOf(block.look)}>${block.items.map((item) => `<li>${wordsHtml(item)}</li>`).join('')}</${tag}>`;
    }
    case 'table':
      return tableHtml(block);
    case 'figures': {
      const figures = block.figures.map(figureHtml).join('');
      return (block.across ?? block.figures.length) > 1 ? `<div class="side">${figures}</div>` : figures;
    }
    case 'box':
      return `<section class="box${block.tone === 'warning' ? '' : ' plain'}">${blocksHtml(block.blocks)}</section>`;
    case 'new-page':
    case 'gap':
      return '';
  }
}

/** Tables of more columns than that keep a width and scroll on a narrow screen. */
const MOST_NARROW = 4;

const classOf = (look: string | undefined): string => (look && look !== 'body' ? ` class="${look}"` : '');

function tableHtml({ columns, rows, caption, rowHeads }: Extract<Block, { kind: 'table' }>): string {
  const side = (k: number): string => (columns[k]!.align === 'right' ? ' class="n"' : '');
  const head = columns.map((column, k) => `<th scope="col"${side(k)}>${wordsHtml(column.head)}</th>`).join('');
  const body = rows.map(({ cells, bold, shaded }) => {
    const row = cells
      .map((cell, k) => (k === rowHeads ? `<th scope="row">${cellHtml(cell)}</th>` : `<td${side(k)}>${cellHtml(cell)}</td>`))
      .join('');
    const classes = [...(shaded ? ['shaded'] : []), ...(bold ? ['beyond'] : [])].join(' ');
    return `<tr${classes ? ` class="${classes}"` : ''}>${row}</tr>`;
  });
  // A wide table scrolls within itself, by keys as well.
  const label = caption ? ` aria-label="${escapeText(caption)}"` : '';
  return `<div class="wide${columns.length > MOST_NARROW ? ' many' : ''}" role="region" tabindex="0"${label}><table>${caption ? `<caption>${escapeText(caption)}</caption>` : ''}<thead><tr>${head}</tr></thead><tbody>${body.join('\n')}</tbody></table></div>`;
}

const cellHtml = (cell: Cell): string => (typeof cell === 'object' && 'picture' in cell ? pictureHtml(cell.picture) : wordsHtml(cell));

function figureHtml({ picture, caption, heading }: Figure): string {
  return `<figure>${heading ? `<h3>${escapeText(heading)}</h3>` : ''}${pictureHtml(picture)}${caption ? `<figcaption>${wordsHtml(caption)}</figcaption>` : ''}</figure>`;
}

/** Drawings only: a study shows nobody's photograph. */
function pictureHtml(picture: Figure['picture']): string {
  if (!('svg' in picture)) throw new RangeError('this report shows no photographs');
  return `<div class="wide drawing" role="group" tabindex="0">${picture.svg}</div>`;
}

const wordsHtml = (words: Words): string =>
  runsOf(words)
    .map(({ text, bold, italic, mono }) => {
      const inner = mono ? `<span class="hash">${escapeText(text)}</span>` : escapeText(text);
      const slanted = italic ? `<em>${inner}</em>` : inner;
      return bold ? `<strong>${slanted}</strong>` : slanted;
    })
    .join('');
