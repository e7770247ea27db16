using System.Collections.Immutable;
using System.Globalization;
using System.Xml;
using DocumentFormat.OpenXml;
using DocumentFormat.OpenXml.Packaging;
using DocumentFormat.OpenXml.Spreadsheet;

namespace Capacityplan.Core.Exchange;

/// <summary>Writes a table as a spreadsheet of one sheet. Text is written as text, whatever it begins with, never as a formula.</summary>
internal static class SpreadsheetWriter
{
    /// <summary>Digits a spreadsheet keeps of a number; one with more is written as text, to lose none.</summary>
    private const int DigitsKept = 15;

    /// <summary>Writes the table.</summary>
    /// <param name="name">The sheet's name.</param>
    /// <param name="heads">The headings.</param>
    /// <param name="rows">The rows.</param>
    public static byte[] Write(string name, ImmutableArray<string> heads, IEnumerable<FileCell[]> rows)
    {
        var stream = new MemoryStream();
        using (SpreadsheetDocument document = SpreadsheetDocument.Create(stream, SpreadsheetDocumentType.Workbook))
        {
            WorkbookPart workbook = document.AddWorkbookPart();
            WorksheetPart sheet = workbook.AddNewPart<WorksheetPart>();
            var data = new SheetData();
            data.Append(RowOf(1, heads.Select(head => new FileCell(head))));
            uint number = 1;
            foreach (FileCell[] row in rows)
                data.Append(RowOf(++number, row));
            // The headings stay in view while the rows are scrolled.
            var pane = new Pane { VerticalSplit = 1, TopLeftCell = "A2", ActivePane = PaneValues.BottomLeft, State = PaneStateValues.Frozen };
            sheet.Worksheet = new Worksheet(new SheetViews(new SheetView(pane) { WorkbookViewId = 0 }), data);
            workbook.Workbook = new Workbook(new Sheets(new Sheet { Id = workbook.GetIdOfPart(sheet), SheetId = 1, Name = name }));
        }

        return stream.ToArray();
    }

    private static Row RowOf(uint number, IEnumerable<FileCell> cells)
    {
        var row = new Row { RowIndex = number };
        int column = 0;
        foreach (FileCell cell in cells)
        {
            if (cell.Text.Length > 0)
                row.Append(Of(cell, ColumnName(column) + number.ToString(CultureInfo.InvariantCulture)));
            column++;
        }

        return row;
    }

    private static Cell Of(FileCell cell, string reference) => cell.IsNumber && cell.Text.Count(char.IsDigit) <= DigitsKept
        ? new Cell(new CellValue(cell.Text)) { CellReference = reference }
        : new Cell(new InlineString(new Text(Legal(cell.Text)) { Space = SpaceProcessingModeValues.Preserve })) { CellReference = reference, DataType = CellValues.InlineString };

    /// <summary>The text without the control characters that XML has no way to write.</summary>
    private static string Legal(string text) => string.Concat(text.Where((letter, at) =>
        XmlConvert.IsXmlChar(letter)
        || (char.IsHighSurrogate(letter) && at + 1 < text.Length && char.IsLowSurrogate(text[at + 1]))
        || (char.IsLowSurrogate(letter) && at > 0 && char.IsHighSurrogate(text[at - 1]))));

    private static string ColumnName(int column) =>
        column < 26 ? ((char)('A' + column)).ToString() : ColumnName(column / 26 - 1) + (char)('A' + column % 26);
}
