fn main() {
    println!("beatledger");
}
