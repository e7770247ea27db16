using System.Collections.Immutable;
using System.Globalization;
using System.IO.Compression;
using System.Xml;
using DocumentFormat.OpenXml;
using DocumentFormat.OpenXml.Packaging;
using DocumentFormat.OpenXml.Spreadsheet;

namespace Capacityplan.Core.Exchange;

/// <summary>Reads the first sheet with anything in it of a spreadsheet in the Office Open XML format (ISO/IEC 29500).</summary>
internal static class SpreadsheetReader
{
    /// <summary>The most that a file may unpack to, bytes; a few kilobytes can be made to unpack to more than a disk holds.</summary>
    private const long MostUnpackedBytes = 50_000_000;

    private const int MostParts = 2_000;
    private const int MostSharedTexts = 500_000;

    /// <summary>Reads a spreadsheet.</summary>
    /// <exception cref="UnreadableFileException">It is broken, is no spreadsheet, or passes a limit.</exception>
    public static FileTable Read(byte[] content)
    {
        try
        {
            CheckSize(content);
            using var stream = new MemoryStream(content, writable: false);
            using SpreadsheetDocument document = SpreadsheetDocument.Open(stream, isEditable: false);
            WorkbookPart workbook = document.WorkbookPart ?? throw Broken(null);
            List<string> shared = SharedTexts(workbook);
            var notes = ImmutableArray.CreateBuilder<Problem>();
            List<Sheet> sheets = [.. workbook.Workbook?.Sheets?.Elements<Sheet>().Where(sheet => sheet.State?.Value is null || sheet.State.Value == SheetStateValues.Visible) ?? []];
            foreach (Sheet sheet in sheets)
            {
                if (sheet.Id?.Value is not { } id || workbook.GetPartById(id) is not WorksheetPart part)
                    continue;
                List<FileRow> rows = Rows(part, shared);
                if (rows.Count == 0)
                    continue;
                if (sheets.Count > 1)
                    notes.Add(new Problem(ProblemSeverity.Note, $"The file has several sheets; “{sheet.Name?.Value}” was read."));
                return new FileTable { Rows = [.. rows], Notes = notes.ToImmutable() };
            }

            return new FileTable { Rows = [] };
        }
        catch (Exception broken) when (broken is OpenXmlPackageException or InvalidDataException or XmlException or FileFormatException
            or FormatException or ArgumentException or InvalidOperationException or NotSupportedException or IOException or KeyNotFoundException or OverflowException)
        {
            throw Broken(broken);
        }
    }

    private static void CheckSize(byte[] content)
    {
        using var zip = new ZipArchive(new MemoryStream(content, writable: false), ZipArchiveMode.Read);
        // What an entry unpacks to is never more than it says: the framework's reader stops there.
        if (zip.Entries.Count > MostParts || zip.Entries.Sum(entry => Math.Min(entry.Length, MostUnpackedBytes + 1)) > MostUnpackedBytes)
            throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"The spreadsheet unpacks to more than {MostUnpackedBytes / 1_000_000} MB. Keep one sheet with the machines, or save it as CSV."));
        if (!zip.Entries.Any(entry => entry.FullName.Equals("[Content_Types].xml", StringComparison.OrdinalIgnoreCase)))
            throw new UnreadableFileException("This is a packed folder and no spreadsheet. Unpack it and choose the file with the machines.");
    }

    private static List<string> SharedTexts(WorkbookPart workbook)
    {
        var texts = new List<string>();
        if (workbook.SharedStringTablePart is not { } part)
            return texts;
        using var reader = OpenXmlReader.Create(part);
        while (reader.Read())
        {
            if (reader.ElementType != typeof(SharedStringItem) || !reader.IsStartElement)
                continue;
            if (texts.Count >= MostSharedTexts)
                throw new UnreadableFileException("The spreadsheet holds too many texts. Keep one sheet with the machines, or save it as CSV.");
            texts.Add(Text((SharedStringItem)reader.LoadCurrentElement()!));
        }

        return texts;
    }

    private static List<FileRow> Rows(WorksheetPart part, List<string> shared)
    {
        var rows = new List<FileRow>();
        using var reader = OpenXmlReader.Create(part);
        int number = 0;
        while (reader.Read())
        {
            if (reader.ElementType != typeof(Row) || !reader.IsStartElement)
                continue;
            var row = (Row)reader.LoadCurrentElement()!;
            number = row.RowIndex?.Value is { } index ? checked((int)index) : number + 1;
            var read = new FileRow(number, Cells(row, shared, number));
            if (read.IsBlank)
                continue;
            if (rows.Count >= FileTable.MostRows)
                throw DelimitedText.TooManyRows();
            rows.Add(read);
        }

        return rows;
    }

    private static ImmutableArray<FileCell> Cells(Row row, List<string> shared, int number)
    {
        var cells = new List<FileCell>();
        foreach (Cell cell in row.Elements<Cell>())
        {
            int column = cell.CellReference?.Value is { } reference ? ColumnOf(reference) : cells.Count;
            FileCell read = Read(cell, shared, number);
            if (read.IsBlank)
                continue;
            if (column >= FileTable.MostColumns)
                throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"Row {number} has more than {FileTable.MostColumns} columns. Keep those that say something of machines."));
            while (cells.Count <= column)
                cells.Add(new FileCell(""));
            cells[column] = read;
        }

        return [.. cells];
    }

    private static FileCell Read(Cell cell, List<string> shared, int row)
    {
        CellValues? type = cell.DataType?.Value;
        string value = cell.CellValue?.Text ?? "";
        FileCell read = type == CellValues.SharedString ? new(int.TryParse(value, CultureInfo.InvariantCulture, out int at) && at >= 0 && at < shared.Count ? shared[at] : "")
            : type == CellValues.InlineString ? new(cell.InlineString is { } inline ? Text(inline) : "")
            : type == CellValues.Boolean ? new(value == "1" ? "true" : "false")
            : type == CellValues.String || type == CellValues.Error || type == CellValues.Date ? new(value)
            : new(value, IsNumber: value.Length > 0);
        return read.Text.Length <= FileTable.LongestCell
            ? read
            : throw new UnreadableFileException(string.Create(CultureInfo.InvariantCulture, $"A cell of row {row} is longer than {FileTable.LongestCell:#,0} characters."));
    }

    /// <summary>The text with its differently formatted pieces put together; what is read aloud beside it is left out.</summary>
    private static string Text(OpenXmlCompositeElement item) =>
        string.Concat(item.ChildElements.Select(child => child switch
        {
            Text text => text.Text,
            Run run => string.Concat(run.Elements<Text>().Select(text => text.Text)),
            _ => "",
        }));

    /// <summary>"C7" is column 2.</summary>
    private static int ColumnOf(string reference)
    {
        int column = 0;
        foreach (char letter in reference)
        {
            if (!char.IsAsciiLetter(letter))
                break;
            column = Math.Min(column * 26 + (char.ToUpperInvariant(letter) - 'A' + 1), 1_000_000);
        }

        return column - 1;
    }

    private static UnreadableFileException Broken(Exception? cause)
    {
        const string Message = "The spreadsheet is broken or is not in the .xlsx format. Open it and save it again as .xlsx, or save it as CSV.";
        return cause is null ? new(Message) : new(Message, cause);
    }
}
