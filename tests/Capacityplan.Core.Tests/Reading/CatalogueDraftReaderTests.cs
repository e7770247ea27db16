using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class CatalogueDraftReaderTests
{
    private static readonly MachineDraft s_heron = new()
    {
        Name = "Heron-16",
        HardwareThreads = "16",
        PhysicalCores = "8",
        RelativeCoreSpeed = "1",
        Memory = "32",
        StartUp = "45",
        PricePerHour = "1.50",
        Currency = "EUR",
        Increment = "1",
        Minimum = "60",
    };

    [Fact]
    public void Read_EveryCellFilled_MakesTheMachine()
    {
        CatalogueDraftReading reading = Read(s_heron with { MemoryBandwidth = "204.8", Memory = "32 GiB", StartUp = "1 min", Currency = " eur", HardwareThreads = "16 " });

        MachineType machine = Assert.Single(reading.Catalogue.Machines);
        var metered = (MeteredPurchase)Assert.Single(machine.Purchase);
        Assert.Equal(
            ("Heron-16", 16, 8, 1.0, 32.0, 204.8, 60.0),
            (machine.Name, machine.HardwareThreads, machine.PhysicalCores, machine.RelativeCoreSpeed, machine.MemoryGiB, machine.MemoryBandwidthGBps, machine.StartUpSeconds));
        Assert.Equal((1.50m, "EUR", 1.0, 60.0), (metered.PricePerHour, metered.Currency, metered.IncrementSeconds, metered.MinimumSeconds));
        Assert.Empty(reading.Cells);
        Assert.True(reading.IsWhole);
    }

    [Fact]
    public void Read_CellsThatMayBeBlank_TakeTheirDefaults()
    {
        CatalogueDraftReading reading = Read(s_heron with { RelativeCoreSpeed = "", StartUp = " ", Increment = "", Minimum = "", MemoryBandwidth = "" });

        MachineType machine = Assert.Single(reading.Catalogue.Machines);
        var metered = (MeteredPurchase)Assert.Single(machine.Purchase);
        Assert.Equal((1.0, 0.0, null), (machine.RelativeCoreSpeed, machine.StartUpSeconds, machine.MemoryBandwidthGBps));
        Assert.Equal((1.0, 0.0), (metered.IncrementSeconds, metered.MinimumSeconds));
    }

    [Theory]
    [InlineData(MachineField.Name, " ", "A machine needs a name.")]
    [InlineData(MachineField.HardwareThreads, "", "Type how many, such as 16.")]
    [InlineData(MachineField.HardwareThreads, "sixteen", "\"sixteen\" is not a whole number. Type one such as 16.")]
    [InlineData(MachineField.HardwareThreads, "7.5", "\"7.5\" is not a whole number. Type one such as 16.")]
    [InlineData(MachineField.PhysicalCores, "0", "\"0\" is out of range: it has to be from 1 to 1,000,000.")]
    [InlineData(MachineField.RelativeCoreSpeed, "-1", "\"-1\" has to be above 0.")]
    [InlineData(MachineField.RelativeCoreSpeed, "3400", "\"3400\" is out of range: it has to be from 0 to 100.")]
    [InlineData(MachineField.Memory, "0", "\"0\" has to be above 0.")]
    [InlineData(MachineField.Memory, "lots", "\"lots\" is not an amount of memory. Type one such as 32 GiB.")]
    [InlineData(MachineField.MemoryBandwidth, "fast", "\"fast\" is not a number. Type one such as 200.")]
    [InlineData(MachineField.StartUp, "a while", "\"a while\" is not a time. Type seconds, such as 45, or a time such as 2 min.")]
    [InlineData(MachineField.StartUp, "-3", "\"-3\" is out of range: it has to be from 0 to 366 days.")]
    [InlineData(MachineField.PricePerHour, "", "Type what an hour costs, such as 1.50.")]
    [InlineData(MachineField.PricePerHour, "0.2o", "\"0.2o\" is not a number. Type one such as 1.50; its currency has a cell of its own.")]
    [InlineData(MachineField.Currency, "€", "\"€\" is not a currency's three letters. Type them, such as EUR.")]
    [InlineData(MachineField.Increment, "0", "\"0\" has to be above 0.")]
    [InlineData(MachineField.Minimum, "400 days", "\"400 days\" is out of range: it has to be from 0 to 366 days.")]
    public void Read_ABadCell_SaysWhatIsWrongAndLeavesTheMachineAsItWas(MachineField field, string text, string message)
    {
        MachineDraft kept = Read(s_heron).Draft.Machines[0];

        CatalogueDraftReading reading = Read(kept.With(field, text));

        CellProblem problem = Assert.Single(reading.Cells);
        Assert.Equal((0, field, message, true), (problem.Row, problem.Field, problem.Problem.Message, problem.Refuses));
        Assert.False(reading.IsWhole);
        Assert.Same(kept.Kept, Assert.Single(reading.Catalogue.Machines));
        Assert.Equal(text, reading.Draft.Machines[0][field]);
    }

    [Fact]
    public void Read_ABadCellOfANewRow_LeavesItOutAndKeepsTheOthers()
    {
        CatalogueDraftReading reading = Read(s_heron, new MachineDraft { Name = "Crane-96" }, s_heron with { Name = "Wren-16" });

        Assert.Equal(["Heron-16", "Wren-16"], reading.Catalogue.Machines.Select(machine => machine.Name));
        Assert.All(reading.Cells, problem => Assert.Equal(1, problem.Row));
        Assert.Equal(
            [MachineField.HardwareThreads, MachineField.PhysicalCores, MachineField.Memory, MachineField.PricePerHour, MachineField.Currency],
            reading.Cells.Select(problem => problem.Field));
    }

    [Fact]
    public void Read_TextsThatWereNotTyped_AreTheMachineToTheLastDigit()
    {
        var machine = new MachineType
        {
            Name = "Heron-16",
            HardwareThreads = 16,
            PhysicalCores = 8,
            MemoryGiB = 1 / 3.0,
            Purchase =
            [
                new MeteredPurchase { Currency = "EUR", PricePerHour = 0.1234567890123456789m },
                new MeteredPurchase { Currency = "USD", PricePerHour = 2 },
            ],
        };

        CatalogueDraftReading reading = Read(MachineDraft.Of(machine));

        Assert.Same(machine, Assert.Single(reading.Catalogue.Machines));
    }

    [Fact]
    public void Read_AChangedMachineWithFurtherWaysToPay_KeepsThem()
    {
        var other = new MeteredPurchase { Currency = "USD", PricePerHour = 2 };
        MachineType machine = Read(s_heron).Catalogue.Machines[0];
        machine = machine with { Purchase = [machine.Purchase[0], other] };

        CatalogueDraftReading reading = Read(MachineDraft.Of(machine) with { PricePerHour = "0.123456789012345678" });

        MachineType changed = Assert.Single(reading.Catalogue.Machines);
        Assert.Equal([0.123456789012345678m, 2], changed.Purchase.Cast<MeteredPurchase>().Select(option => option.PricePerHour));
        Assert.Equal(other, changed.Purchase[1]);
    }

    [Fact]
    public void Read_AMarkThatCouldMeanTwoThings_SaysHowItWasRead()
    {
        CatalogueDraftReading reading = Read(s_heron with { PricePerHour = "1,500" });

        CellProblem note = Assert.Single(reading.Cells);
        Assert.Equal(("\"1,500\" was read as 1500: a point stands before decimals here, a comma parts thousands.", false), (note.Problem.Message, note.Refuses));
        Assert.True(reading.IsWhole);
        Assert.Equal(1500m, ((MeteredPurchase)reading.Catalogue.Machines[0].Purchase[0]).PricePerHour);
    }

    [Fact]
    public void Read_MoreCoresThanThreads_SaysHowManyCount()
    {
        CatalogueDraftReading reading = Read(s_heron with { PhysicalCores = "32" });

        Assert.Equal("More cores than hardware threads: 16 of them count.", Assert.Single(reading.Cells).Problem.Message);
        Assert.Single(reading.Catalogue.Machines);
    }

    [Fact]
    public void Read_ANameTwice_RefusesTheNewClaimAndNotTheMachineThatHasIt()
    {
        CatalogueDraft draft = Read(s_heron with { Name = "Wren" }, s_heron).Draft;
        MachineDraft renamed = draft.Machines[0] with { Name = "HERON-16" };

        CatalogueDraftReading reading = CatalogueDraftReader.Read(draft with { Machines = [renamed, draft.Machines[1]] });

        CellProblem problem = Assert.Single(reading.Cells);
        Assert.Equal((0, MachineField.Name, "Another machine is called HERON-16 already. Give this one a name of its own."), (problem.Row, problem.Field, problem.Problem.Message));
        Assert.Equal(["Wren", "Heron-16"], reading.Catalogue.Machines.Select(machine => machine.Name));
    }

    [Fact]
    public void Read_TwoMachinesThatSwapNames_AreBothReadOnceBothHaveChanged()
    {
        CatalogueDraft draft = Read(s_heron with { Name = "a", Memory = "1" }, s_heron with { Name = "b", Memory = "2" }).Draft;

        draft = CatalogueDraftReader.Read(draft with { Machines = [draft.Machines[0] with { Name = "b" }, draft.Machines[1]] }).Draft;
        CatalogueDraftReading reading = CatalogueDraftReader.Read(draft with { Machines = [draft.Machines[0], draft.Machines[1] with { Name = "a" }] });

        Assert.Equal([("b", 1.0), ("a", 2.0)], reading.Catalogue.Machines.Select(machine => (machine.Name, machine.MemoryGiB)));
        Assert.True(reading.IsWhole);
    }

    [Fact]
    public void Read_ANameThatAnUnreadableRowStandsUnder_IsRefused()
    {
        CatalogueDraft draft = Read(s_heron with { Name = "a" }, s_heron with { Name = "b" }).Draft;

        CatalogueDraftReading reading = CatalogueDraftReader.Read(draft with
        {
            Machines = [draft.Machines[0] with { Name = "c", Memory = "?" }, draft.Machines[1] with { Name = "a" }],
        });

        Assert.Equal([(0, MachineField.Memory), (1, MachineField.Name)], reading.Cells.Select(problem => (problem.Row, problem.Field)));
        Assert.Equal(["a", "b"], reading.Catalogue.Machines.Select(machine => machine.Name));
    }

    [Fact]
    public void Read_ANewRowWithoutANameOfItsOwn_IsLeftOut()
    {
        CatalogueDraftReading reading = Read(s_heron, s_heron, s_heron with { Name = "heron-16 " });

        Assert.Equal([1, 2], reading.Cells.Select(problem => problem.Row));
        Assert.Single(reading.Catalogue.Machines);
    }

    [Fact]
    public void Read_ABlankNameAndABadDay_LeavesBothAsTheyWere()
    {
        CatalogueDraft draft = CatalogueDraft.Of(new Catalogue { Name = "Birds", PricesOf = new DateOnly(2026, 11, 3), Machines = [] });

        CatalogueDraftReading reading = CatalogueDraftReader.Read(draft with { Name = " ", PricesOf = "last week" });

        Assert.Equal(
            ["A catalogue needs a name. Until then it is called Birds.", "\"last week\" is not a day, or could be two. Type one such as 3 Nov 2026."],
            reading.Problems.Select(problem => problem.Message));
        Assert.Equal(("Birds", new DateOnly(2026, 11, 3)), (reading.Catalogue.Name, reading.Catalogue.PricesOf));
        Assert.False(reading.IsWhole);
        Assert.Null(CatalogueDraftReader.Read(draft with { PricesOf = "" }).Catalogue.PricesOf);
    }

    [Theory]
    [InlineData(MachineField.Name, "machines[0].name")]
    [InlineData(MachineField.Currency, "machines[0].purchase[0].currency")]
    public void Read_ABadCell_PointsAtItAsTheApiNamesIt(MachineField field, string path) =>
        Assert.Equal(path, Assert.Single(Read(s_heron.With(field, "")).Cells).Problem.Path);

    [Fact]
    public void Draft_EveryField_IsReadAndSetUnderItsOwnName()
    {
        foreach (MachineField field in MachineDraft.Fields)
        {
            MachineDraft draft = s_heron.With(field, "unlike the others");
            Assert.All(MachineDraft.Fields, other => Assert.Equal(other == field, draft[other] == "unlike the others"));
        }
    }

    private static CatalogueDraftReading Read(params MachineDraft[] machines) =>
        CatalogueDraftReader.Read(new CatalogueDraft { Name = "Birds", KeptName = "Birds", Machines = [.. machines] });

    [Fact]
    public void PurchaseDraft_EveryField_IsReadAndSetUnderItsOwnName() => Assert.All(
        PurchaseDraft.Kinds.SelectMany(kind => PurchaseDraft.FieldsOf(kind)).Append(MachineField.Kind).Distinct(),
        field =>
        {
            PurchaseDraft draft = new PurchaseDraft().With(field, "text");
            Assert.Equal("text", draft[field]);
            Assert.Equal("text", typeof(PurchaseDraft).GetProperty(field.ToString())!.GetValue(draft));
        });

    [Theory]
    [InlineData("metered", MachineField.PricePerHour, "", "Type what an hour costs, such as 1.50.")]
    [InlineData("alwaysOn", MachineField.PricePerHour, "-2", "\"-2\" is out of range: it has to be from 0 to 1,000,000,000.")]
    [InlineData("term", MachineField.TermMonths, "0", "\"0\" is out of range: it has to be from 1 to 1,200.")]
    [InlineData("term", MachineField.PricePerMonth, "", "Type what a month costs, such as 480; 0 where all is paid at the start.")]
    [InlineData("interruptible", MachineField.InterruptionsPerHour, "", "Type how often it is interrupted in an hour of use, such as 0.05.")]
    [InlineData("interruptible", MachineField.Checkpoint, "0", "\"0\" has to be above 0.")]
    [InlineData("owned", MachineField.OverheadFactor, "0.8", "\"0.8\" is out of range: it has to be from 1 to 100.")]
    [InlineData("owned", MachineField.HoursPerMonth, "745", "\"745\" is out of range: it has to be from 0 to 744.")]
    [InlineData("owned", MachineField.Currency, "euros", "\"euros\" is not a currency's three letters. Type them, such as EUR.")]
    [InlineData("term", MachineField.LicencePerCore, "x", "\"x\" is not a number. Type one such as 1.50; its currency has a cell of its own.")]
    public void Read_ABadBlankOfAFurtherWay_SaysWhatIsWrongThereAndLeavesTheMachineAsItWas(string kind, MachineField field, string text, string message)
    {
        MachineDraft kept = Read(s_heron).Draft.Machines[0];
        PurchaseDraft way = new PurchaseDraft
        {
            Kind = kind,
            PricePerHour = "1",
            PricePerMonth = "480",
            TermMonths = "12",
            InterruptionsPerHour = "0.05",
            PurchasePrice = "9800",
            LifetimeMonths = "48",
        }.With(field, text);

        CatalogueDraftReading reading = Read(kept with { Further = [way] });

        CellProblem problem = Assert.Single(reading.Cells);
        Assert.Equal((1, field, message), (problem.Way, problem.Field, problem.Problem.Message));
        Assert.StartsWith("machines[0].purchase[1].", problem.Problem.Path, StringComparison.Ordinal);
        Assert.Same(kept.Kept, Assert.Single(reading.Catalogue.Machines));
        Assert.Equal(way, Assert.Single(reading.Draft.Machines[0].Further));
    }

    [Fact]
    public void Read_APriceOnlyInAFurtherWay_IsPaidForInThatAlone()
    {
        CatalogueDraftReading reading = Read(s_heron with { PricePerHour = "", Further = [new PurchaseDraft { Kind = "term", PricePerMonth = "480", TermMonths = "12" }] });

        Assert.Equal(new TermPurchase { Currency = "EUR", PricePerMonth = 480, Months = 12 }, Assert.Single(Assert.Single(reading.Catalogue.Machines).Purchase));
    }

    [Fact]
    public void Read_ConversionRates_HoldWhatIsTypedAndLeaveWhatWas()
    {
        var typed = new RateDraft { From = "usd", To = "EUR", Rate = "0,92", TakenOn = "3 Nov 2026" };
        CatalogueDraftReading read = CatalogueDraftReader.Read(new CatalogueDraft { Name = "Birds", KeptName = "Birds", Machines = [], Rates = [typed] });
        CatalogueDraftReading broken = CatalogueDraftReader.Read(read.Draft with { Rates = [read.Draft.Rates[0] with { Rate = "-1" }, new RateDraft { From = "EUR", To = "EUR", Rate = "1", TakenOn = "soon" }] });

        var rate = new CurrencyRate { From = "USD", To = "EUR", Rate = 0.92m, TakenOn = new DateOnly(2026, 11, 3) };
        Assert.Equal(rate, Assert.Single(read.Catalogue.Rates));
        Assert.True(read.IsWhole);
        Assert.Equal(rate, Assert.Single(broken.Catalogue.Rates));
        Assert.Equal([(0, RateField.Rate), (1, RateField.To), (1, RateField.TakenOn)], broken.Rates.Select(problem => (problem.Line, problem.Field)));
        Assert.False(broken.IsWhole);
    }

    [Theory]
    [InlineData("0.000001", true)]
    [InlineData("0,0000009", false)]
    [InlineData("1000000", true)]
    [InlineData("1000000.01", false)]
    [InlineData("2e6", false)]
    public void Read_AConversionRateAtItsLimits_IsReadOrRefusedNeverThrown(string rate, bool isRead)
    {
        var typed = new RateDraft { From = "USD", To = "EUR", Rate = rate, TakenOn = "3 Nov 2026" };

        CatalogueDraftReading reading = CatalogueDraftReader.Read(new CatalogueDraft { Name = "Birds", KeptName = "Birds", Machines = [], Rates = [typed] });

        Assert.Equal(isRead, reading.IsWhole);
        Assert.Equal(isRead ? 1 : 0, reading.Catalogue.Rates.Length);
    }

    /// <summary>Whatever the texts' limits let through, the ways to pay have to take.</summary>
    [Theory]
    [InlineData(MachineField.PricePerHour, "1000000000")]
    [InlineData(MachineField.PricePerMonth, "1000000000")]
    [InlineData(MachineField.Upfront, "1000000000")]
    [InlineData(MachineField.TermMonths, "1200")]
    [InlineData(MachineField.InterruptionsPerHour, "3600")]
    [InlineData(MachineField.Restart, "366 days")]
    [InlineData(MachineField.Checkpoint, "366 days")]
    [InlineData(MachineField.Increment, "366 days")]
    [InlineData(MachineField.Minimum, "366 days")]
    [InlineData(MachineField.PurchasePrice, "1000000000")]
    [InlineData(MachineField.LifetimeMonths, "1200")]
    [InlineData(MachineField.Watts, "10000000")]
    [InlineData(MachineField.PricePerKilowattHour, "1000000000")]
    [InlineData(MachineField.OverheadFactor, "100")]
    [InlineData(MachineField.HoursPerMonth, "744")]
    [InlineData(MachineField.LicencePerCore, "1000000000")]
    [InlineData(MachineField.LicencePerMachine, "1000000000")]
    public void Read_AWayToPayAtItsLimits_IsRead(MachineField field, string text)
    {
        IEnumerable<PurchaseDraft> ways = PurchaseDraft.Kinds.Where(kind => PurchaseDraft.FieldsOf(kind).Contains(field)).Select(kind => new PurchaseDraft
        {
            Kind = kind,
            PricePerHour = "1",
            PricePerMonth = "480",
            TermMonths = "12",
            InterruptionsPerHour = "0.05",
            PurchasePrice = "9800",
            LifetimeMonths = "48",
        }.With(field, text));

        Assert.All(ways, way => Assert.True(Read(s_heron with { Further = [way] }).IsWhole));
    }
}
