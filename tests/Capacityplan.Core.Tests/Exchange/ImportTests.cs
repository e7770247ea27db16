using System.Globalization;
using System.Text;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Exchange;

/// <summary>Files as people have them. What each has to be read as was worked out by hand; the rule for quoted cells is RFC 4180,
/// sections 2.5 to 2.7.</summary>
public sealed class ImportTests
{
    private const string Head = "machine,hardware threads,physical cores,memory (GiB),price (EUR/h)\n";

    /// <summary>Each ends as the machine Heron-16: 16 threads, 8 cores, 64 GiB, 1.50 EUR an hour.</summary>
    public static TheoryData<string, string> SameMachine => new()
    {
        { "plain", Head + "Heron-16,16,8,64,1.50\n" },
        { "byte order mark, Windows line ends", "\uFEFF" + Head.Replace("\n", "\r\n", StringComparison.Ordinal) + "Heron-16,16,8,64,1.50\r\n" },
        { "old line ends", (Head + "Heron-16,16,8,64,1.50").Replace('\n', '\r') },
        { "no line end after the last row", Head + "Heron-16,16,8,64,1.50" },
        { "semicolons and decimal commas", "Machine;Hardware threads;Physical cores;Memory GiB;Price EUR/h\nHeron-16;16;8;64;1,50\n" },
        { "the mark named", "sep=;\nMachine;Hardware threads;Physical cores;Memory GiB;Price EUR/h\nHeron-16;16;8;64;1,50\n" },
        { "tabs", "name\tthreads\tcores\tRAM\tprice per hour\tcurrency\nHeron-16\t16\t8\t64\t1.50\tEUR\n" },
        { "bars", "name|threads|cores|RAM|price per hour|currency\nHeron-16|16|8|64|1.50|EUR\n" },
        { "every cell quoted", "\"machine\",\"hardware threads\",\"physical cores\",\"memory (GiB)\",\"price (EUR/h)\"\n\"Heron-16\",\"16\",\"8\",\"64\",\"1.50\"\n" },
        { "a title and a blank row above", "Our machines,,,,\n,,,,\n" + Head + "Heron-16,16,8,64,1.50\n" },
        { "a second row of headings", "machine,threads,cores,memory,price\n,,,GiB,EUR/h\nHeron-16,16,8,64,1.50\n" },
        { "the headings repeated", Head + Head + "Heron-16,16,8,64,1.50\n" },
        { "other order, a column more", "notes,price a month,price a day,currency,cores,threads,memory GiB,machine\nthe good one,,36,EUR,8,16,64,Heron-16\n" },
        { "a price a minute", "machine,threads,cores,memory,price per minute (€)\nHeron-16,16,8,64,0.025\n" },
        { "a price a second", "machine,threads,cores,memory,price/s,currency\nHeron-16,16,8,64,0.000416666666666667,EUR\n" },
        { "a currency sign in the cell", "machine,threads,cores,memory,price\nHeron-16,16,8,64,€1.50/h\n" },
        { "a currency beside the figure", "machine,threads,cores,memory,price\nHeron-16,16,8,64 GiB,1.50 EUR\n" },
        { "memory in MiB", "machine,threads,cores,memory (MiB),price,currency\nHeron-16,16,8,65536,1.50,EUR\n" },
        { "memory in GB", "machine,threads,cores,memory (GB),price,currency\nHeron-16,16,8,68.719476736,1.50,eur\n" },
        { "thousands and decimals", "machine;threads;cores;memory (MiB);price;currency\nHeron-16;16;8;65.536;1,50;EUR\nCrane-64;64;32;262.144,0;6,10;EUR\n" },
        { "names of the API", "name,hardwareThreads,physicalCores,memoryGiB,pricePerHour,currency\nHeron-16,16,8,64,1.5,EUR\n" },
        { "JSON, a list", """[{"name":"Heron-16","hardwareThreads":16,"physicalCores":8,"memoryGiB":64,"purchase":[{"kind":"metered","pricePerHour":1.50,"currency":"EUR"}]}]""" },
        { "JSON, a catalogue", """{"name":"Birds","machines":[{"name":"Heron-16","hardwareThreads":16,"physicalCores":8,"memoryGiB":64,"purchase":[{"kind":"metered","pricePerHour":1.5,"currency":"EUR"}]}]}""" },
        { "JSON, flat, with a comma too many", """[{"name":"Heron-16","threads":16,"cores":8,"memory":"64 GiB","price":"1.50","currency":"EUR",}]""" },
        { "spaces everywhere", " machine , threads , cores , memory , price , currency \n Heron-16 , 16 , 8 , 64 , 1.50 , EUR \n" },
        { "more cells than headings", Head + "Heron-16,16,8,64,1.50,,,\n" },
    };

    [Theory]
    [MemberData(nameof(SameMachine))]
    public void Read_AnyForm_IsTheSameMachine(string form, string text)
    {
        CatalogueImport import = Read(text);

        MachineType machine = import.Reading.Catalogue.Machines[0];
        var paid = Assert.IsType<MeteredPurchase>(Assert.Single(machine.Purchase));
        Assert.Equal(
            ("Heron-16", 16, 8, "EUR"), (machine.Name, machine.HardwareThreads, machine.PhysicalCores, paid.Currency));
        Assert.Equal(64, machine.MemoryGiB, 1e-9);
        Assert.True(Math.Abs(paid.PricePerHour - 1.5m) < 1e-8m, form);
        Assert.DoesNotContain(import.Problems, found => found.Problem.Severity != ProblemSeverity.Note);
    }

    /// <summary>Each is refused or doubted at a place, in words.</summary>
    public static TheoryData<string, string, string> Wrong => new()
    {
        { Head + "Heron-16,0,8,64,1.50", "row 2, “hardware threads”", "\"0\" is out of range: it has to be from 1 to 1,000,000." },
        { Head + "Heron-16,16,0,64,1.50", "row 2, “physical cores”", "\"0\" is out of range: it has to be from 1 to 1,000,000." },
        { Head + "Heron-16,16,8,64,-1", "row 2, “price (EUR/h)”", "\"-1\" is out of range: it has to be from 0 to 1,000,000,000." },
        { Head + "Heron-16,16,8,much,1.50", "row 2, “memory (GiB)”", "\"much\" is not an amount of memory. Type one such as 32 GiB." },
        { Head + "Heron-16,16,8,,1.50", "row 2, “memory (GiB)”", "Type how much, such as 32 GiB." },
        { Head + ",16,8,64,1.50", "row 2, “machine”", "A machine needs a name." },
        { "machine,threads,cores,memory,price\nHeron-16,16,8,64,1.50", "row 2", "Type the price's currency, as three letters such as EUR." },
        { "machine,threads,memory,price EUR/h\nHeron-16,16,64,1.50", "row 2", "Type how many, such as 8." },
        { "machine,threads,cores,memory,way to pay,price EUR/h\nHeron-16,16,8,64,by barter,1.50", "row 2, “way to pay”", "\"by barter\" is not a way to pay. Choose by the time used, always on, for a term, interruptible or owned." },
        { Head + "Heron-16,16,8,64,1.50\nHeron-16,32,8,64,1.50", "row 3, “hardware threads”", "Heron-16 stands in row 2 already, with 16 here; that stays. Give another machine another name." },
        { "[{\"name\":\"Heron-16\",\"hardwareThreads\":16,\"physicalCores\":8,\"memoryGiB\":-64,\"purchase\":[{\"kind\":\"metered\",\"pricePerHour\":1.5,\"currency\":\"EUR\"}]}]", "[0].purchase[0], “memoryGiB”", "\"-64\" is not an amount of memory. Type one such as 32 GiB." },
        { "machine,threads,cores,cores,memory,price EUR/h\nHeron-16,16,8,8,64,1.50\nWren-4,4,4,4,8,lots", "row 3, “price EUR/h”", "\"lots\" is not a number. Type one such as 1.50; its currency has a cell of its own." },
    };

    [Theory]
    [MemberData(nameof(Wrong))]
    public void Read_SomethingWrong_SaysWhereAndKeepsTheText(string text, string place, string message)
    {
        CatalogueImport import = Read(text);

        Assert.Contains(import.Problems, found => found.Place == place && found.Problem.Message == message);
        Assert.NotEmpty(import.Machines);
    }

    [Theory]
    [InlineData("", "The file is empty")]
    [InlineData("\uFEFF \r\n ,, \r\n", "The file is empty")]
    [InlineData("machine,price\n\"Heron,1\n2,3", "The quotation mark that opens a cell on line 2 is never closed.")]
    [InlineData("[{\"name\":\n\"Heron-16\",,}]", "The JSON is broken on line 2")]
    [InlineData("{\"birds\":[]}", "The JSON has no list of machines.")]
    [InlineData("[1,2]", "[0] is not an object.")]
    [InlineData("PK\u0003\u0004 and then nothing", "The spreadsheet is broken")]
    [InlineData("a\0b", "This is not a text")]
    public void Open_AFileThatCannotBe_SaysWhy(string text, string beginning)
    {
        UnreadableFileException refused = Assert.Throws<UnreadableFileException>(() => CatalogueFile.Open(Encoding.UTF8.GetBytes(text)));

        Assert.StartsWith(beginning, refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_QuotedLineEndsAndMarks_StayInTheCell()
    {
        CatalogueImport import = Read(Head + "\"Heron, \"\"16\"\"\nsecond line\",16,8,64,1.50\nWren-4,4,4,8,x\n");

        Assert.Equal("Heron, \"16\"\nsecond line", import.Machines[0].Name);
        // The row after a cell of two lines begins on line 4.
        Assert.Contains(import.Problems, found => found is { Row: 4, Column: 5 });
    }

    [Fact]
    public void Read_NoHeadings_GuessesFromValuesAndLeavesTheRestToBeChosen()
    {
        ImportTable table = Table("Heron-16,16,8,64 GiB,€1.50\nWren-4,4,4,16 GiB,€0.39\n");

        Assert.Equal(["name", "", "", "memoryGiB", "pricePerHour"], table.Guesses.Select(guess => guess.Meaning.Key));
        CatalogueImport import = CatalogueImport.Read(
            table, table.Guesses.SetItem(1, ColumnChoice.Of(ColumnMeaning.OfKey("hardwareThreads"))).SetItem(2, ColumnChoice.Of(ColumnMeaning.OfKey("physicalCores"))), new ImportChoices());
        Assert.Equal(2, import.Whole);
    }

    [Fact]
    public void Read_OneOfTwoCountsAndNoCurrency_TakesWhatIsChosen()
    {
        ImportTable table = Table("machine,vCPUs,RAM (GB),price per hour\nHeron-16,16,64,1.50\n");

        CatalogueImport import = CatalogueImport.Read(table, table.Guesses, new ImportChoices("EUR", 2));

        MachineType machine = Assert.Single(import.Reading.Catalogue.Machines);
        Assert.Equal((16, 8, "EUR"), (machine.HardwareThreads, machine.PhysicalCores, machine.Purchase[0].Currency));
        Assert.Equal(64e9 / (1L << 30), machine.MemoryGiB, 1e-9);
    }

    [Fact]
    public void Read_SeveralRowsOfOneName_GathersTheWaysToPay()
    {
        CatalogueImport import = Read(
            """
            machine;threads;cores;memory GiB;kind;currency;price per hour;price per month;term (years);interruptions per hour;purchase price;lifetime (years);power (kW);electricity price per kWh;licence per core and month
            Heron-16;16;8;64;by the time used;EUR;1,50;;;;;;;;
            Heron-16;;;;for a term;EUR;;480;1;;;;;;2,50
            ;;;;interruptible;EUR;0,60;;;0,05;;;;;
            Heron-16;16;8;64;owned;EUR;;;;;9.800;4;0,35;0,24;
            Heron-16;16;8;64;always on;EUR;1,20;;;;;;;;
            """);

        MachineType machine = Assert.Single(import.Reading.Catalogue.Machines);
        Assert.Equal(
            [
                new MeteredPurchase { Currency = "EUR", PricePerHour = 1.5m },
                new TermPurchase { Currency = "EUR", PricePerMonth = 480, Months = 12, LicencePerCoreMonth = 2.5m },
                new InterruptiblePurchase { Currency = "EUR", PricePerHour = 0.6m, InterruptionsPerHour = 0.05 },
                new OwnedPurchase { Currency = "EUR", PurchasePrice = 9800, LifetimeMonths = 48, Watts = 350, PricePerKilowattHour = 0.24m },
                new MeteredPurchase { Currency = "EUR", PricePerHour = 1.2m, AlwaysOn = true },
            ],
            machine.Purchase);
    }

    [Fact]
    public void Read_PricesOfSeveralKindsInOneRow_AreSeveralWays()
    {
        MachineType machine = Assert.Single(Read("machine,threads,cores,memory,currency,price/h,price/month,term\nHeron-16,16,8,64,EUR,1.50,480,12\n").Reading.Catalogue.Machines);

        Assert.Equal(["metered", "term"], machine.Purchase.Select(option => option.Kind));
    }

    [Fact]
    public void Read_FiveThousandRows_ReadsEachAndPointsAtTheOneThatIsWrong()
    {
        var text = new StringBuilder(Head);
        for (int row = 0; row < 5_000; row++)
            text.Append(CultureInfo.InvariantCulture, $"Wren-{row},{(row == 4_321 ? "none" : "4")},4,16,0.39\n");

        CatalogueImport import = Read(text.ToString());

        Assert.Equal((5_000, 4_999), (import.Machines.Length, import.Whole));
        Assert.Equal((4_323, 2), Assert.Single(import.Problems) is var only ? (only.Row, only.Column) : default);
    }

    [Fact]
    public void Read_MoreRowsThanTheLimit_IsRefused()
    {
        string text = Head + string.Concat(Enumerable.Repeat("Wren,4,4,16,0.39\n", FileTable.MostRows + 1));

        Assert.Contains("more than 20,000 rows", Assert.Throws<UnreadableFileException>(() => CatalogueFile.OpenText(text)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Open_LettersNotInUtf8_AreReadAndNoted()
    {
        byte[] content = [.. Encoding.ASCII.GetBytes(Head), (byte)'G', 0xE9, .. Encoding.ASCII.GetBytes("ant,16,8,64,1.50")];

        ImportTable table = ImportTable.Of(CatalogueFile.Open(content));

        Assert.Equal("Géant", table.Rows[0][0].Text);
        Assert.Contains("not in UTF-8", Assert.Single(table.Notes).Message, StringComparison.Ordinal);
    }

    private static ImportTable Table(string text) => ImportTable.Of(CatalogueFile.OpenText(text));

    private static CatalogueImport Read(string text) => Table(text) is var table ? CatalogueImport.Read(table, table.Guesses, new ImportChoices()) : null!;
}
