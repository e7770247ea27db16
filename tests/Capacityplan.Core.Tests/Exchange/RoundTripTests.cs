using System.Collections.Immutable;
using System.IO.Compression;
using System.Text;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using CsCheck;

namespace Capacityplan.Core.Tests.Exchange;

public sealed class RoundTripTests
{
    private static readonly string[] s_names = ["Birds", "=1+1", "'=cmd", "-9", "@here", "a,b;\"c\"\nd", "Vögel & 鳥", "16"];

    private static readonly Gen<string> s_currency = Gen.OneOf(Gen.Const("EUR"), Gen.Const("CHF"), Gen.Const("USD"));

    // Whole cents now and then, as people have them; else every digit a decimal of this size has.
    private static readonly Gen<decimal> s_amount = Gen.OneOf(Gen.Int[0, 100_000].Select(cents => cents / 100m), Gen.Decimal[0, 1_000_000], Gen.Const(1.234m));
    private static readonly Gen<double> s_seconds = Gen.OneOf(Gen.Const(0.0), Gen.Double[0, 3_600], Gen.Int[0, 600].Select(whole => (double)whole));
    private static readonly Gen<double> s_aboveZero = Gen.OneOf(Gen.Double[1e-7, 99], Gen.Const(1.234), Gen.Const(8.0));

    private static readonly Gen<PurchaseOption> s_purchase = Gen.Select(Gen.Int[0, 4], s_currency, Gen.Select(s_amount, s_amount, s_amount), Gen.Select(s_seconds, s_aboveZero, s_aboveZero), Gen.Int[1, 120])
        .Select((kind, currency, amounts, figures, months) => kind switch
        {
            0 => (PurchaseOption)new MeteredPurchase { Currency = currency, PricePerHour = amounts.Item1, IncrementSeconds = figures.Item2, MinimumSeconds = figures.Item1, LicencePerCoreMonth = amounts.Item2 },
            1 => new MeteredPurchase { Currency = currency, PricePerHour = amounts.Item1, AlwaysOn = true, LicencePerMachineMonth = amounts.Item2 },
            2 => new TermPurchase { Currency = currency, PricePerMonth = amounts.Item1, Upfront = amounts.Item2, Months = months, LicencePerCoreMonth = amounts.Item3 },
            3 => new InterruptiblePurchase
            {
                Currency = currency,
                PricePerHour = amounts.Item1,
                InterruptionsPerHour = figures.Item2,
                RestartSeconds = figures.Item1,
                CheckpointSeconds = months % 2 == 0 ? figures.Item3 : null,
                LicencePerMachineMonth = amounts.Item3,
            },
            _ => new OwnedPurchase
            {
                Currency = currency,
                PurchasePrice = amounts.Item1,
                LifetimeMonths = months,
                Watts = figures.Item1,
                PricePerKilowattHour = amounts.Item2,
                OverheadFactor = 1 + figures.Item2,
                HoursPerMonth = figures.Item3,
            },
        });

    private static readonly Gen<Catalogue> s_catalogue = Gen.Select(
            Gen.Int[0, s_names.Length - 1].Select(index => s_names[index]),
            Gen.Bool,
            Gen.Select(s_aboveZero, s_aboveZero, s_seconds, Gen.Int[1, 256]).Select(Gen.Select(s_purchase, s_purchase, s_purchase).Array[1]).Array[0, 5],
            Gen.Select(s_amount, s_currency).Array[0, 2])
        .Select((name, flag, machines, rates) => new Catalogue
        {
            Name = name,
            PricesOf = flag ? new DateOnly(2026, 11, 3) : null,
            PricesAreInvented = !flag,
            Machines =
            [
                .. machines.Select((machine, index) => new MachineType
                {
                    Name = $"{name} {index}".Trim(),
                    HardwareThreads = machine.Item1.Item4,
                    PhysicalCores = machine.Item1.Item4,
                    RelativeCoreSpeed = machine.Item1.Item1,
                    MemoryGiB = machine.Item1.Item2,
                    MemoryBandwidthGBps = flag ? machine.Item1.Item2 : null,
                    StartUpSeconds = machine.Item1.Item3,
                    Purchase = Distinct(machine.Item2[0].Item1, machine.Item2[0].Item2, machine.Item2[0].Item3),
                }),
            ],
            Rates = [.. rates.Where(rate => rate.Item1 >= 1e-6m).Select(rate => new CurrencyRate { From = "SEK", To = rate.Item2, Rate = rate.Item1, TakenOn = new DateOnly(2026, 11, 2) })],
        });

    [Fact]
    public void Delimited_WrittenAndRead_IsTheSameCatalogue() => s_catalogue.ForAll(catalogue => Same(catalogue, CatalogueExport.ToDelimited(catalogue)), 300);

    [Fact]
    public void Json_WrittenAndRead_IsTheSameCatalogue() => s_catalogue.ForAll(catalogue => Same(catalogue, CatalogueExport.ToJson(catalogue)), 300);

    [Fact]
    public void Spreadsheet_WrittenAndRead_IsTheSameCatalogue() => s_catalogue.ForAll(catalogue => Same(catalogue, CatalogueExport.ToSpreadsheet(catalogue)), 60);

    [Fact]
    public void Delimited_TextLikeAFormula_IsWrittenAfterAnApostrophe()
    {
        string text = Encoding.UTF8.GetString(CatalogueExport.ToDelimited(Named("=1+1")));

        Assert.Contains("\r\n'=1+1,", text, StringComparison.Ordinal);
        Assert.DoesNotContain("\r\n=", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Spreadsheet_TextLikeAFormula_IsText()
    {
        using var zip = new ZipArchive(new MemoryStream(CatalogueExport.ToSpreadsheet(Named("=1+1"))));
        using var reader = new StreamReader(zip.Entries.Single(entry => entry.FullName.Contains("worksheets/", StringComparison.Ordinal) && entry.Name.EndsWith(".xml", StringComparison.Ordinal)).Open());
        string sheet = reader.ReadToEnd();

        Assert.Contains("t=\"inlineStr\"", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("<x:f>", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public void Spreadsheet_ThatUnpacksToFarMore_IsRefused()
    {
        var stream = new MemoryStream();
        using (var zip = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
        {
            zip.CreateEntry("[Content_Types].xml");
            using Stream entry = zip.CreateEntry("xl/worksheets/sheet1.xml").Open();
            byte[] blank = new byte[1_000_000];
            for (int part = 0; part < 60; part++)
                entry.Write(blank);
        }

        Assert.InRange(stream.Length, 1, 1_000_000);
        Assert.StartsWith("The spreadsheet unpacks to more than 50 MB.", Assert.Throws<UnreadableFileException>(() => CatalogueFile.Open(stream.ToArray())).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Spreadsheet_CutOrEmpty_IsRefused()
    {
        byte[] whole = CatalogueExport.ToSpreadsheet(Named("Heron-16"));

        foreach (int length in (int[])[4, 100, whole.Length / 2, whole.Length - 10])
            Assert.Throws<UnreadableFileException>(() => CatalogueFile.Open(whole[..length]));
    }

    private static void Same(Catalogue catalogue, byte[] file)
    {
        ImportTable table = ImportTable.Of(CatalogueFile.Open(file));
        CatalogueImport import = CatalogueImport.Read(table, table.Guesses, new ImportChoices());

        Assert.DoesNotContain(import.Problems, found => found.Problem.Severity == ProblemSeverity.Warning);
        Assert.Equal(catalogue.Name, import.Name);
        Assert.Equal(catalogue.PricesOf, import.Reading.Catalogue.PricesOf);
        Assert.Equal(catalogue.PricesAreInvented, import.PricesAreInvented ?? false);
        Assert.Equal(catalogue.Rates, import.Reading.Catalogue.Rates);
        Assert.Equal(catalogue.Machines.Length, import.Reading.Catalogue.Machines.Length);
        foreach ((MachineType written, MachineType read) in catalogue.Machines.Zip(import.Reading.Catalogue.Machines))
        {
            Assert.Equal(written with { Purchase = read.Purchase }, read);
            Assert.Equal(written.Purchase, read.Purchase);
        }
    }

    /// <summary>Without two ways that are the same: a file that says one twice says it once.</summary>
    private static ImmutableArray<PurchaseOption> Distinct(params PurchaseOption[] options) => [.. options.Distinct()];

    private static Catalogue Named(string name) => new()
    {
        Name = "Birds",
        Machines = [new MachineType { Name = name, HardwareThreads = 16, PhysicalCores = 8, MemoryGiB = 64, Purchase = [new MeteredPurchase { Currency = "EUR", PricePerHour = 1.5m }] }],
    };
}
